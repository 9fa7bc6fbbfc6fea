"""The words of the frame: the small content has those of the project, so that tests see what a reader sees."""

import built
import small_content


def test_the_small_content_speaks_as_the_project_does() -> None:
    file = "phrases/en.yaml"
    assert (small_content.FOLDER / file).read_bytes() == (built.ROOT / "content" / file).read_bytes()
