"""The drawings of a page: each once for all the ranks that share it, in both units."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Literal

from markupsafe import Markup

from wellroom.report import measures
from wellroom.report.draw.block import Titles
from wellroom.report.draw.hub import hub
from wellroom.report.draw.model import Drawing
from wellroom.report.draw.plan_view import plan_view
from wellroom.report.draw.section import section
from wellroom.report.draw.svg import MARGIN, svg_text
from wellroom.report.draw.well import well
from wellroom.report.draw.windows import windows
from wellroom.report.draw.wishes import Axis, Named, wishes
from wellroom.report.draw.words import scale_text
from wellroom.report.web.pack import packed
from wellroom.report.web.parts import BOTH, dual_block, for_ranks
from wellroom.search.cloud import Cloud
from wellroom.search.results import AXLES, AxleFit, FitResult, Plan
from wellroom.search.sketch import TODAY, Sketch, WheelSketch
from wellroom.units import Units

Maker = Callable[[str, int, AxleFit, Units], Drawing | None]


@dataclass(frozen=True)
class Figures:
    """Makes the figures of one answer; the ids of what it writes start with ``ids``."""

    result: FitResult
    sketch: Sketch
    plans: dict[int, Plan]
    shown: int
    ids: str = ""

    def sections(self) -> Markup:
        """Return the section of each axle's wheel, for every rank."""
        return self._each("section", self._section)

    def views(self) -> Markup:
        """Return side view, plan view and bolt circle of each axle, for every rank."""
        return Markup("").join(
            self._each(name, maker)
            for name, maker in (("well", self._well), ("plan", self._plan), ("hub", self._hub))
        )

    def bare(self) -> Markup:
        """Return the bolt circles as they were measured, where there is no wheel to draw; else nothing."""
        if self.plans:
            return Markup("")
        made = []
        for axle in AXLES:

            def one(units: Units, axle: str = axle) -> Markup:
                titles = self._titles("Bolt circle as measured", axle, "no wheel", units)
                drawing = hub(self.sketch.axles[axle].hub, None, titles, units)
                return Markup("") if drawing is None else figure(drawing, f"{self.ids}bare-{axle}-{units}")

            made.append(dual_block(one))
        return side_by_side([block for block in made if block])

    def windows(self) -> Markup:
        """Return the window charts of each axle, for every rank."""

        def chart(axle: str, rank: int, fit: AxleFit, units: Units) -> Drawing | None:
            title = f"Backspace windows, {axle}: {self._combination(axle, rank)}"
            return windows(fit, axle, title, units)

        return self._each("windows", chart)

    def drawings(self, rank: int, units: Units) -> dict[str, Drawing]:
        """Return the drawings to scale of one rank by name ("front-section")."""
        makers: Iterable[tuple[str, Maker]] = (
            ("section", self._section),
            ("well", self._well),
            ("plan", self._plan),
            ("hub", self._hub),
        )
        out = {}
        for axle in AXLES:
            for name, maker in makers:
                fit = self.plans[rank].axles.get(axle)
                drawing = None if fit is None else maker(axle, rank, fit, units)
                if drawing is not None:
                    out[f"{axle}-{name}"] = replace(drawing, name=f"{axle}-{name}")
        return out

    # --- one figure -------------------------------------------------------------------------------

    def _each(self, name: str, maker: Maker) -> Markup:
        out = []
        for axle in AXLES:
            groups: dict[object, list[int]] = {}
            for rank, plan in self.plans.items():
                fit = plan.axles.get(axle)
                if fit is not None:
                    groups.setdefault(_same(fit, rank), []).append(rank)
            for number, ranks in enumerate(groups.values()):
                figure = self._figure(f"{self.ids}{name}-{axle}-{number}", axle, ranks, maker)
                if figure is not None:
                    out.append(for_ranks(ranks, self.shown, figure))
        return side_by_side(out)

    def _figure(self, ident: str, axle: str, ranks: list[int], maker: Maker) -> Markup | None:
        fit = self.plans[ranks[0]].axles[axle]
        made: dict[Units, Drawing | None] = {u: maker(axle, ranks[0], fit, u) for u in BOTH}
        if made["in"] is None or made["mm"] is None:
            return None

        def one(units: Units) -> Markup:
            drawing = made[units]
            assert drawing is not None
            return figure(drawing, f"{ident}-{units}")

        return dual_block(one)

    def _today(self, axle: str, rank: int) -> WheelSketch | None:
        return None if rank == TODAY else self.sketch.wheels.get((TODAY, axle))

    def _combination(self, axle: str, rank: int) -> str:
        fit = self.plans[rank].axles[axle]
        rim = measures.rim(fit.rim_diameter_in, fit.rim_width_in)
        return f"{'today, ' if rank == TODAY else ''}{measures.short_size(fit.tire.size)} on {rim}"

    def _wheel(self, axle: str, rank: int, fit: AxleFit, units: Units) -> str:
        backspace = measures.backspace(fit.backspace_in, fit.backspace_mm, units)
        return f"{self._combination(axle, rank)}, backspace {backspace}"

    def _titles(self, what: str, axle: str, combination: str, units: Units) -> Titles:
        end = self.sketch.axles[axle]
        side = "either side" if end.both_alike else f"{end.side} side"
        lacking = [entry.what for entry in self.result.not_checked if entry.what.startswith(axle)]
        words = ", ".join(name.partition(".")[2].replace("_", " ") for name in lacking)
        stance = f", stance {self.result.stance}" if self.result.stance else ""
        return Titles(
            f"{what}, {axle} wheel, {side}",
            f"{self.result.scenario}{stance}",
            combination,
            words or "nothing that this program knows how to check",
            units,
        )

    def _section(self, axle: str, rank: int, fit: AxleFit, units: Units) -> Drawing | None:
        wheel = self.sketch.wheels.get((rank, axle))
        if wheel is None:
            return None
        titles = self._titles("Section", axle, self._wheel(axle, rank, fit, units), units)
        return section(self.sketch.axles[axle], wheel, fit, self._today(axle, rank), titles, units)

    def _well(self, axle: str, rank: int, fit: AxleFit, units: Units) -> Drawing | None:
        wheel = self.sketch.wheels.get((rank, axle))
        if wheel is None:
            return None
        titles = self._titles("Side view in the well", axle, self._wheel(axle, rank, fit, units), units)
        return well(self.sketch.axles[axle], wheel, fit, self._today(axle, rank), titles, units)

    def _plan(self, axle: str, rank: int, fit: AxleFit, units: Units) -> Drawing | None:
        wheel = self.sketch.wheels.get((rank, axle))
        if wheel is None:
            return None
        titles = self._titles("Plan view", axle, self._wheel(axle, rank, fit, units), units)
        return plan_view(self.sketch.axles[axle], wheel, fit, titles, units)

    def _hub(self, axle: str, rank: int, fit: AxleFit, units: Units) -> Drawing | None:
        titles = self._titles("Bolt circle", axle, self._wheel(axle, rank, fit, units), units)
        return hub(self.sketch.axles[axle].hub, self.sketch.wheels.get((rank, axle)), titles, units)


def _same(fit: AxleFit, rank: int) -> object:
    """Return what two ranks must share to share a drawing."""
    return (fit.tire, fit.wheel, fit.rim_diameter_in, fit.rim_width_in, fit.backspace_mm, rank == TODAY)


def side_by_side(figures: list[Markup]) -> Markup:
    """Return figures as a row where the screen is wide enough; nothing for none."""
    if not figures:
        return Markup("")
    return Markup('<div class="figures">{}</div>').format(Markup("").join(figures))


def figure(drawing: Drawing, ident: str, start: Literal["middle", "left", ""] = "") -> Markup:
    """Return a drawing as a figure with its caption; what is wider than the screen scrolls by itself.

    ``start``: what of it is seen first, the middle of one to scale unless named.
    """
    scale = f", {scale_text(drawing.scale)}" if drawing.to_scale else ""
    return Markup(
        '<figure><div class="sheet" tabindex="0" role="group" aria-label="{title}" '
        'style="--w:{wide}" data-from="{start}">{svg}</div>'
        "<figcaption>{title}{scale}</figcaption></figure>"
    ).format(
        title=drawing.title,
        wide=f"{drawing.paper[0] + 2.0 * MARGIN:.1f}",
        start=start or ("middle" if drawing.to_scale else "left"),
        svg=Markup(packed(svg_text(drawing, ident))),
        scale=scale,
    )


NAMES = {
    "poke": "poke",
    "gap": "gap to the lip",
    "tire_diameter": "tire diameter",
    "section": "section width",
}


def plots(result: FitResult, plans: dict[int, Plan], clouds: dict[str, Cloud], ids: str = "") -> Markup:
    """Return the plots of the feasible sets, one an axle."""
    out = []
    for axle, cloud in clouds.items():
        axes = cloud.axes()
        if axes is None:
            continue

        def one(units: Units, axle: str = axle, cloud: Cloud = cloud, axes: tuple[str, str] = axes) -> Markup:
            named = [n for rank, plan in plans.items() if (n := _named(rank, plan, axle, axes)) is not None]
            drawing = wishes(
                list(zip(cloud.values[axes[0]].tolist(), cloud.values[axes[1]].tolist(), strict=True)),
                named,
                Axis(NAMES[axes[0]], cloud.bands.get(axes[0])),
                Axis(NAMES[axes[1]], cloud.bands.get(axes[1])),
                f"Everything that fits the {axle}: {NAMES[axes[0]]} against {NAMES[axes[1]]}",
                units,
            )
            return Markup("") if drawing is None else figure(drawing, f"{ids}wishes-{axle}-{units}")

        out.append(dual_block(one))
    return side_by_side(out)


def _named(rank: int, plan: Plan, axle: str, axes: tuple[str, str]) -> Named | None:
    fit = plan.axles.get(axle)
    if fit is None:
        return None
    values = {
        "poke": fit.poke_mm,
        "gap": fit.gap_mm,
        "tire_diameter": fit.tire.od_mm,
        "section": fit.tire.section_mm,
    }
    x, y = values[axes[0]], values[axes[1]]
    if x is None or y is None:
        return None
    return Named("today" if rank == TODAY else f"rank {rank}", x, y, "today" if rank == TODAY else "rank")
