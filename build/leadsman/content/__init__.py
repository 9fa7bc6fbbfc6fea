"""Transform a folder of YAML into a checked :class:`~leadsman.content.catalogue.Catalogue`.

``source`` reads strict YAML with the place of every value, ``model`` says what each record may hold,
``prose`` reads the inline references, ``catalogue`` brings it together, ``decision`` sees an entry as
a decision structure, and ``rules`` holds one function for each rule of the trade.
"""
