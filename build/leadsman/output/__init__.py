"""Output: transforms finished HTML into files (tagged PDF, EPUB), or leaves the earlier files whole.

``typeset`` lays out, checks, repairs and writes a PDF; ``measure`` tells beforehand what will fit;
``epub`` writes a book for readers. Content, wording and looks come from elsewhere: nothing in here
knows what a fault entry is.
"""
