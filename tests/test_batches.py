"""Long work in pieces: in order, with its failures, its progress and its memory."""

import pickle
from concurrent.futures import ThreadPoolExecutor

import pytest

from bouncelab.batches import Ledger, fingerprint, local_processes, run_pieces
from bouncelab.errors import (
    BounceLabError,
    FileError,
    InputError,
    NotebookError,
    TableError,
)


def half(number):
    if number == 3:
        raise InputError("a number", "3", "even numbers", "Give another.")
    if number == 5:
        return [][0]
    return number / 2


@pytest.mark.parametrize("kind", ["here", "threads", "processes"])
def test_a_piece_that_fails_stops_no_other_and_says_why(kind):
    told = []

    def progress(done, count, total):
        told.append((done.name, count, total))

    if kind == "here":
        done = run_pieces(half, [2, 3, 4, 5, 6], progress=progress)
    else:
        made = ThreadPoolExecutor(2) if kind == "threads" else local_processes(2)
        with made as executor:
            done = run_pieces(
                half, [2, 3, 4, 5, 6], executor=executor, progress=progress
            )

    assert [each.result for each in done] == [1, None, 2, None, 3]
    assert "even numbers" in done[1].error
    assert done[3].error.startswith("IndexError")
    assert sorted(name for name, _, _ in told) == ["2", "3", "4", "5", "6"]
    assert [(count, total) for _, count, total in told] == [(k, 5) for k in range(1, 6)]


def test_what_was_finished_before_is_not_done_again():
    asked = []
    done = run_pieces(asked.append, ["a", "b"], done_before=lambda each: each == "a")

    assert asked == ["b"]
    assert [each.before for each in done] == [True, False]


def test_a_ledger_remembers_pieces_whose_input_and_files_still_stand(tmp_path):
    path = tmp_path / "out" / "finished.jsonl"
    ledger = Ledger(path)
    ledger.add("oak", fingerprint("1"), ["oak.html"])
    assert not Ledger(path).has("oak", fingerprint("1"))  # its page is not there

    (tmp_path / "out" / "oak.html").write_text("page")
    assert Ledger(path).has("oak", fingerprint("1"))
    assert not Ledger(path).has("oak", fingerprint("2"))
    assert not Ledger(path).has("elm", fingerprint("1"))


def test_a_line_cut_off_by_a_stop_costs_only_its_own_piece(tmp_path):
    path = tmp_path / "finished.jsonl"
    ledger = Ledger(path)
    ledger.add("oak", "1", [])
    with path.open("ab") as file:
        file.write(b'["elm", "2"')
    Ledger(path).add("ash", "3", [])

    after = Ledger(path)
    assert after.has("oak", "1")
    assert after.has("ash", "3")
    assert not after.has("elm", "2")


def test_a_ledger_that_cannot_be_written_says_so(tmp_path):
    (tmp_path / "out").write_text("a file in the way")

    with pytest.raises(FileError, match="finished"):
        Ledger(tmp_path / "out" / "finished.jsonl").add("oak", "1", [])


def test_dask_s_executor_runs_pieces_too():
    from distributed import Client

    with (
        Client(
            n_workers=2,
            threads_per_worker=1,
            dashboard_address=None,
            host="127.0.0.1",
        ) as client,
        client.get_executor() as executor,
    ):
        done = run_pieces(half, [2, 3, 4], executor=executor)

    assert [each.result for each in done] == [1, None, 2]
    assert "even numbers" in done[1].error


@pytest.mark.parametrize(
    "kind", [BounceLabError, FileError, InputError, NotebookError, TableError]
)
def test_an_error_keeps_its_words_on_the_way_from_a_process(kind):
    error = pickle.loads(pickle.dumps(kind("what", "read", "allowed", "do")))

    assert type(error) is kind
    assert str(error) == "what: read read, allowed allowed. do"
