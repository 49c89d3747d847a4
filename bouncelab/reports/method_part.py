"""How a report's numbers were worked out: equations, assumptions, sources, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from bouncelab.analysis.quality import ReadingQuality
from bouncelab.catalogue import BounceRange
from bouncelab.reports.parts import Parts
from bouncelab.typesetting.paper import plain, table
from bouncelab.units import show_length

__all__ = ["method_part"]


def method_part(
    parts: Parts, quality: ReadingQuality, ranges: Sequence[BounceRange]
) -> None:
    """Say how the numbers were worked out, and whose rules they follow.

    Parameters
    ----------
    parts : Parts
        Takes it.
    quality : ReadingQuality
        What is assumed about the readings.
    ranges : sequence of BounceRange
        The ranges to meet.
    """
    parts.say("::: new-page\n:::")
    parts.begin("method", "How this was worked out")
    parts.say(
        "A ball that falls from $h_1$ and comes back to $h_2$ keeps the share *e* of "
        "its speed. Height goes with the square of speed, so",
        r"$$e = \sqrt{\frac{h_2}{h_1}} = \sqrt{r}, \qquad r = \frac{h_2}{h_1}$$",
        "Both heights are those of the lowest point of the ball: what was read at its "
        "centre or top is lowered by half the diameter *d* or by all of it. A ball's "
        "*e* is the mean over its *n* drops, and its uncertainty has two parts.",
        "**What the scatter shows (Type A):** $u_\\mathrm{A} = s/\\sqrt{n}$ from the "
        "standard deviation *s* of single drops, or of the groups' means where these "
        "scatter more than their drops explain.",
        "**What all drops share (Type B)** is added once, however many drops there "
        "are. Any value within ± *a* is taken to be equally likely, so "
        "$u = a/\\sqrt{3}$:",
        _shared(quality),
        r"$$u^2(e) = u_\mathrm{A}^2 + \left(\frac{1}{2e}\right)^2 "
        r"\sum_i u_i^2(r), \qquad U = k\,u(e)$$",
        "*k* is Student's factor for 95 % and the effective degrees of freedom "
        "(Welch and Satterthwaite). Where a rebound is known to no better than a "
        "tenth, 20 000 random draws take the place of this formula.",
        "**Without air:** $e = \\sqrt{\\left(\\mathrm{e}^{2 \\kappa h_2} - 1\\right)/"
        "\\left(1 - \\mathrm{e}^{-2 \\kappa h_1}\\right)}$ with the drag constant "
        "$\\kappa$ of the kind of ball. Ranges speak of raw heights, so it is not used "
        "for them.",
        "**Verdicts:** a ball meets a range if the probability that its mean rebound "
        "lies inside is at least 95 %, does not meet it if that is at most 5 %, and "
        "else it cannot be told.",
        "**Comparisons:** differences within each group where the same groups dropped "
        "both (paired Student), else between the groups' means or, without groups, "
        "the drops (Welch). *Chance by luck* allows for all pairs (Holm). Groups are "
        "set against the scatter of their own drops by an analysis of variance.",
        "**Bounce against pressure:** $e^2 = a - b/(p + c)$ by weighted least squares, "
        "with the uncertainty of the gauge; not used far beyond the pressures that "
        "were measured.",
        "### Sources",
        "\n".join(
            [
                *(
                    f"- {plain(each.id)}: {plain(each.source)} "
                    f"({plain(each.confirmed)})."
                    for each in ranges
                ),
                "- Uncertainty: JCGM 100:2008 (GUM), 4.2, 4.3.7, 5.1.2 and G.4; random "
                "draws: JCGM 101:2008.",
                "- Verdicts: JCGM 106:2012.",
                "- Comparisons: B. L. Welch, *Biometrika* 34 (1947) 28; S. Holm, "
                "*Scand. J. Statist.* 6 (1979) 65; both cited from memory.",
                "- How well heights are read: common practice, no source.",
            ]
        ),
        "::: caution\nPump no ball above the pressure printed on it. Nobody climbs to "
        "drop or to read, landing places stay clear, and very cold or hot balls are "
        "for qualified staff. Your school's rules and local codes come before this "
        "report.\n:::",
    )


def _shared(quality: ReadingQuality) -> str:
    half = {
        "setting the drop height": (quality.drop_half_width, "$r\\,u/h_1$"),
        "the tape's zero, the same for both heights": (
            quality.tape_offset_half_width,
            "$(1 - r)\\,u/h_1$",
        ),
        "a measured diameter, where it is taken off": (
            quality.diameter_half_width,
            "$\\lvert r s_1 - s_2 \\rvert\\,u/h_1$",
        ),
        "reading a rebound, where no scatter shows it": (
            quality.rebound_half_width,
            "$u/h_1$",
        ),
    }
    rows = [
        [what, f"± {show_length(a)}", show_length(a / sqrt(3), "cm", 2), moves]
        for what, (a, moves) in half.items()
    ]
    return (
        table(
            ["what", "within ± *a*", "*u*", "moves *r* by"],
            rows,
            right=(1, 2),
            widths=(12, 5, 4, 6),
        )
        + "\n\n"
        "$s_1$ and $s_2$ say where on the ball the heights were read: 0 for the lowest "
        "point, ½ for the centre, 1 for the top. A diameter from the catalogue is "
        f"taken within ± {quality.catalogue_share:.1%} of itself".replace("%", " %")
        + f"; groups that agree may still differ within ± {quality.group_half_width:g} "
        "in *e*."
    )
