"""Transform a checked catalogue into books that know nothing of a page format.

``computed`` evaluates the tables and values that the content declares, ``verdict`` joins the content's
rules with what the computation says, and ``assemble`` puts entries, tables and lists into the order of an
edition.
"""
