"""For whoever writes a plugin: make a small one that works, and hear what is wrong with one."""
