"""The command that listens to a recording."""

from __future__ import annotations

import argparse
import gc
from pathlib import Path

from bouncelab.commands.offer import DONE, LOOK, Commands, show, show_json, tell

__all__ = ["offer"]


def offer(commands: Commands) -> None:
    """Offer ``sound``.

    Parameters
    ----------
    commands : Commands
        Takes it.
    """
    sound = commands.add(
        "sound",
        "work out e from a recording of a bouncing ball, without a tape",
        "bouncelab sound data/recordings/bouncy_ball.wav",
        _sound,
        json=True,
    )
    sound.add_argument(
        "file",
        metavar="FILE",
        type=Path,
        help="WAV, FLAC, OGG, MP3, or what phones save",
    )
    sound.add_argument(
        "--ball",
        metavar="NAME",
        help="what ball it is; its air drag and contact time are then corrected for",
    )
    sound.add_argument(
        "--picture", metavar="FILE", type=Path, help="draw what was heard, as SVG"
    )


def _sound(options: argparse.Namespace) -> int:
    gc.enable()  # a long recording is no short run
    from bouncelab.publish.console import remark_lines
    from bouncelab.readings.sound import listen

    said = 0

    def progress(seconds: float) -> None:
        nonlocal said
        if seconds - said >= 60:
            said = int(seconds)
            tell(f"heard {said // 60} min ...")

    heard = listen(options.file, ball=options.ball, progress=progress)
    if options.picture is not None:
        from bouncelab.figures.recording import draw_recording
        from bouncelab.places import write_whole

        drawn = draw_recording(heard).svg(outlines=True)
        write_whole(options.picture, drawn.encode())
        tell(options.picture)
    if options.json:
        show_json(heard.to_dict())
    else:
        show(remark_lines(heard.words))
    return DONE if heard.drops else LOOK
