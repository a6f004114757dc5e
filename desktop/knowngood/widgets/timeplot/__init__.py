"""The painted parts of the plot over time; `knowngood.widgets.time_plot` names what pages use."""
