"""The inspector: measures a finished PDF or EPUB and holds it against the rules of the printed page.

It knows nothing of how the file was made. What it reads are letters, lines, colours and tags as they stand
in the file; which rule speaks about which of them is told by the tags first, then by wording and place.
"""
