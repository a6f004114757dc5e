"""Expected ranges by partial pooling: maker, system family, configuration, car, visit, reading."""
