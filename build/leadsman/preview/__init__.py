"""What is being written, as its readers will meet it: a page on the loopback that renews itself on each saving."""
