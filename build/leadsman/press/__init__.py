"""The press: turns finished HTML into PDF and EPUB files. It knows pages, fonts, tags and files, and nothing of boats."""
