"""Read earlier revisions of the content, and of the formulas, from git without touching the working tree."""
