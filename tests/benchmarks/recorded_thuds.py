"""Hits that were recorded, as the thuds of a ball, for whoever has them.

They are not part of the project. Debian's package `hydrogen-drumkits` carries hands on
the skins of djembes and dununs, by Jim Harney, CC BY-SA 3.0 (its copyright file,
`drumkits/circAfrique.h2drumkit`): skins over air, as a ball is.

    apt-get download hydrogen-drumkits && dpkg-deb -x hydrogen-drumkits_*.deb kits
    export BOUNCELAB_THUDS="kits/usr/share/hydrogen/data/drumkits/circAfrique v4"
"""

import os
from functools import cache
from pathlib import Path

import numpy as np

FOLDER = "BOUNCELAB_THUDS"
LONGEST = 0.25  # s of each


@cache
def thuds(rate):
    """The 21 hits on skins, at a rate, each with 1 as its largest value."""
    import soundfile
    from scipy.signal import resample_poly

    place = os.environ.get(FOLDER)
    made = []
    for path in sorted(Path(place).glob("*.wav")) if place else ():
        if "Bell" in path.stem:
            continue
        samples, own = soundfile.read(path, always_2d=True)
        mono = resample_poly(samples.mean(axis=1), rate, own)[: int(LONGEST * rate)]
        fading = mono.size // 4
        mono[-fading:] *= np.linspace(1, 0, fading)
        made.append(mono / np.abs(mono).max())
    return made
