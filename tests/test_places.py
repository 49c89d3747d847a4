"""Files written whole, and what is said where they cannot be."""

import pytest

from bouncelab.errors import FileError
from bouncelab.places import write_whole


def test_a_name_that_is_taken_by_a_folder_or_a_file_asks_for_another(tmp_path):
    (tmp_path / "folder.csv").mkdir()
    (tmp_path / "file").write_text("mine")
    for place, what in (("folder.csv", "folder"), ("file/page.html", "file")):
        with pytest.raises(FileError, match=f"which is a {what}") as told:
            write_whole(tmp_path / place, b"x")
        assert "Choose another name" in str(told.value)
    assert (tmp_path / "file").read_text() == "mine"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["file", "folder.csv"]


def test_a_file_is_written_whole_in_a_new_folder(tmp_path):
    write_whole(tmp_path / "new" / "page.html", b"whole")

    assert (tmp_path / "new" / "page.html").read_bytes() == b"whole"
