"""What a swept item surely reaches, as lines y(r) of exact points.

A cell proves a line: along the parameter with most radial travel its sample's track meets every distance in
its span (intermediate values), no lower than a straight line less that parameter's own bend. A cell below
such lines, by less than a tolerance, at each of its distances, need not be looked at: a wheel on the open
side fills all beyond its own side there, so it is as near to the line. In return the lines themselves are
kept as samples.

Heights are taken towards the wheel: an item's side is +1 where it lies outboard of it, -1 inboard. Looked at
``endways``, along r instead of y, lines are r(y): side +1 is farther from the axis, -1 nearer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wellroom.geometry import motion as mo
from wellroom.geometry.bounds import Bounds
from wellroom.geometry.items import Floats, length
from wellroom.geometry.roots import Roots, Work
from wellroom.geometry.samples import REACH_HIGH, SLACK, Cells, Ints

BIN = 0.25
"""Width [mm] of a bin of distances: one line is kept for each."""
FIRST_Y = -720.0
"""Place [mm] where the bins begin for what is looked at endways; beyond them nothing is covered."""
_PIECES = (16, 8, 4, 2)
"""Bins that one sample may stand for, longest first."""
_BINS = _PIECES[0] * int(np.ceil((REACH_HIGH + 400.0) / BIN / _PIECES[0]))
_WIDE = 160
"""Cells wider than so many bins are held against whole blocks of them only."""
_BLOCK = 16
_STRIDES = (16, 1)
"""Every so many bins are tried first, as most cells that are not covered fail soon."""
_ABOVE, _ASIDE = 0.75, 0.25
"""Shares of the tolerance by which a cell may pass beyond a line, square to it, and beyond its ends: their
sum is 1."""
_STEEPEST = 20.0
"""Slopes beyond this lose more to their own bend than they prove."""
_WIDTH_FIRST = 1.0e6
"""A line that fills more of its bin goes before a higher one: one score ranks both, in
hundredths of a bin."""
_GRAIN = 0.01
_FIT = 0.25
"""Share of the target by which a piece may be lifted off the lines that it stands for."""
BOTH_SIDES = 0.2
"""Share of the target that a line may lose where wheels lie on both sides: to one of
them it stands too near."""
_EPS = 1e-9


@dataclass
class _Lines:
    """_Lines, one a row: ``bins`` (n,) counted through all items, height at the bin's middle, slope, the part
    of the bin filled, root and pose.
    """

    bins: Ints
    middle: Floats
    slope: Floats
    first: Floats
    last: Floats
    root: Ints
    pose: Floats  # (DIMS, n)

    def take(self, rows: Ints) -> _Lines:
        return _Lines(*(getattr(self, name).take(rows, axis=-1) for name in self.__dataclass_fields__))

    def put(self, rows: Ints, lines: _Lines) -> None:
        for name in self.__dataclass_fields__:
            getattr(self, name)[..., rows] = getattr(lines, name)

    def bare(self) -> _Lines:
        """Return the lines without their poses."""
        return replace(self, pose=self.pose[:0])

    def height(self, offset: Floats | float) -> Floats:
        """Return the heights at offsets (n,) or of all from the bins' middles."""
        return self.middle + self.slope * offset

    def whole(self, rows: Ints | slice = slice(None)) -> NDArray[np.bool_]:
        """Whether the lines, all or some, fill their bins."""
        return np.asarray(self.last[rows] - self.first[rows] > BIN - _EPS)

    def not_below(self, others: _Lines) -> NDArray[np.bool_]:
        """Whether each line is nowhere below another of the same bin, and fills no less of it."""
        higher = np.ones(len(self.bins), dtype=bool)
        for end in (others.first, others.last):
            higher &= self.height(end) >= others.height(end)
        return higher & (self.first <= others.first) & (self.last >= others.last)


def _no_lines(items: int) -> _Lines:
    bins = np.arange(items * _BINS)
    zero, ends = np.zeros(len(bins)), np.ones(len(bins))
    nothing = np.full(len(bins), -np.inf)
    return _Lines(
        bins, nothing, zero, ends, -ends, np.zeros(len(bins), dtype=np.intp), np.zeros((mo.DIMS, len(bins)))
    )


class Swept:
    """The lines kept for one side of each item, one a bin; and those that later ones replaced but do not
    stand for.
    """

    def __init__(
        self,
        sides: Floats,
        nearest: Floats,
        farthest: Floats,
        target: float,
        most_loss: float = np.inf,
        *,
        endways: bool = False,
    ) -> None:
        """Of each item its side, and the distances [mm] within which wheels can meet it. ``most_loss`` [mm]:
        a line in their reach that its track's bend lowers by more than this is not kept.
        """
        self.sides, self.nearest, self.farthest, self.endways = sides, nearest, farthest, endways
        self.target, self.most_loss = target, most_loss
        self.tolerance = max(SLACK, target / 3.0)
        self.lines = _no_lines(len(sides))
        bins = len(self.lines.bins)
        self.score = np.full(bins, -np.inf)
        self.lift = np.full(bins, _ABOVE * self.tolerance)
        self.stale = np.zeros(bins, dtype=bool)
        self.block_slope, self.block_start = np.zeros(bins // _BLOCK), np.full(bins // _BLOCK, -np.inf)
        self.replaced: list[_Lines] = []

    def learn(self, w: Work, b: Bounds, dims: list[int], item: Ints) -> None:
        """Add what the cells of items (n,) prove."""
        rows, side = np.arange(len(b.r)), self.sides[item]
        x, height, by_x, by_height = self._axes(b)
        best = np.argmax(np.abs(by_x) * b.half - b.own, axis=0)
        along_x, half, own = by_x[best, rows], b.half[best, rows], b.own[best, rows]
        # going round only adds to r: to what the bins run along, or to heights
        swing, sag = b.swings[best, rows], np.zeros_like(x)
        if self.endways:
            swing, sag = sag, np.where(side < 0.0, swing, 0.0)
        span = np.abs(along_x) * half
        low, high = x - span + own + swing, x + span - own
        per_x = 1.0 / np.where(along_x == 0.0, 1.0, along_x)
        height, steep = side * height, side * by_height[best, rows] * per_x
        loss = own + sag + np.abs(steep) * (own + swing)
        short = (low >= 0.0) & (high >= low) & (np.abs(steep) <= _STEEPEST)
        if self.endways:
            # the track of the farther side may rise above its line by as much as that of the nearer side sags
            off = loss - sag + b.swings[best, rows]
            beyond = np.where(side > 0.0, self.farthest[item], -self.nearest[item])
            short &= (off <= self.most_loss) | (height - np.abs(steep) * span - loss >= beyond)
        else:
            short &= loss <= self.most_loss
        chosen = np.flatnonzero(short & self._raises(x, height, item * _BINS))
        cell, bins, middle = over_bins(low[chosen], high[chosen])
        cell = chosen[cell]
        bins += item[cell] * _BINS
        value = height[cell] + steep[cell] * (middle - x[cell]) - loss[cell]
        first = np.maximum(low[cell] - middle, -BIN / 2.0)
        last = np.minimum(high[cell] - middle, BIN / 2.0)
        score = np.floor((last - first) / (BIN * _GRAIN) + _EPS) * _WIDTH_FIRST + value
        better = np.flatnonzero(score > self.score[bins])
        np.maximum.at(self.score, bins[better], score[better])
        won = better[score[better] == self.score[bins[better]]]
        cell = cell[won]
        pose = w.centre.take(cell, axis=1)
        along = np.array(dims)[best[cell]]
        pose[along, np.arange(len(won))] += np.clip(
            (middle[won] - x[cell]) * per_x[cell], -half[cell], half[cell]
        )
        self._keep(_Lines(bins[won], value[won], steep[cell], first[won], last[won], w.root[cell], pose))

    def _axes(self, b: Bounds) -> tuple[Floats, Floats, Floats, Floats]:
        """Return where cells are along the bins, and the way they look, and the derivatives of both."""
        if self.endways:
            return b.y - FIRST_Y, b.r, b.by_y, b.by_r
        return b.r, b.y, b.by_r, b.by_y

    def _keep(self, new: _Lines) -> None:
        """Put lines in their bins. What they replace has covered cells: it stays unless they stand for it."""
        old = self.lines.bare().take(new.bins)
        lost = np.flatnonzero((old.last >= old.first) & ~new.not_below(old))
        if len(lost):
            self.replaced.append(self.lines.take(new.bins[lost]))
        self.lines.put(new.bins, new)
        for step in (-1, 0, 1):
            self.stale[np.clip(new.bins + step, 0, len(self.stale) - 1)] = True

    def _raises(self, r: Floats, height: Floats, first: Ints) -> NDArray[np.bool_]:
        """Whether points are above the line of their bin, or that is not filled: else their tracks teach
        little.
        """
        bins = np.clip(np.floor(r / BIN), 0, _BINS - 1).astype(np.intp)
        lines, at = self.lines, first + bins
        above = height > lines.middle[at] + lines.slope[at] * (r - (bins + 0.5) * BIN)
        return np.asarray(above | ~lines.whole(at))

    def covers(self, b: Bounds, item: Ints) -> NDArray[np.bool_]:
        """Return a mask (n,) of the cells that lines of their own items (n,) cover, within the tolerance, at
        each of their distances that are in reach; endways, at each of their places.

        A cell is bounded from above by a line of its own: level, or with the slope of its longest travel,
        lifted by what the rest of its travel and its remainder add.
        """
        rows, side = np.arange(len(b.r)), self.sides[item]
        x, height, by_x, by_height = self._axes(b)
        main = np.argmax(b.step, axis=0)
        along_x, along_height = by_x[main, rows], side * by_height[main, rows]
        steep = np.divide(along_height, along_x, out=np.full_like(along_x, np.inf), where=along_x != 0.0)
        low, high, swing, lift = b.low, b.high, b.swing, np.zeros_like(x)
        if self.endways:
            reach = (np.abs(by_x) * b.half).sum(axis=0) + b.second
            low, high, swing, lift = x - reach, x + reach, lift, np.where(side > 0.0, swing, 0.0)
        even = (np.abs(steep) <= _STEEPEST) & (swing < 0.25 * (high - low))
        slope = np.where(even, steep, 0.0)
        flat = np.abs(slope)
        across = (np.abs(by_height - side * slope * by_x) * b.half).sum(axis=0)
        aside = _ASIDE * self.tolerance / (1.0 + flat)
        rest = across + b.second * (1.0 + flat) + flat * (swing + aside) + lift
        level = (np.abs(by_height) * b.half).sum(axis=0) + b.second + lift
        slope, rest = np.where(level < rest, 0.0, slope), np.minimum(level, rest)
        if not self.endways:
            low, high = np.maximum(low, self.nearest[item]), np.minimum(high, self.farthest[item])
        low, high = low + aside, high - aside
        middle = (low + high) / 2.0
        low, high = np.minimum(low, middle), np.maximum(high, middle)
        self._renew()
        upper = _Upper(side * height + rest - slope * x, slope, low, high, item * _BINS)
        return self._covered(upper) & (low >= 0.0) & (high <= _BINS * BIN)

    def _renew(self) -> None:
        """Bring up to date what is known of bins and blocks whose lines are new, or next to a new one."""
        bins = np.flatnonzero(self.stale)
        self.stale[bins] = False
        self.lift[bins] = self._lifted(bins)
        self._straighten(np.flatnonzero(np.bincount(bins // _BLOCK)))

    def _lifted(self, bins: Ints) -> Floats:
        """Return how far above the lines of bins a point may lie, to be near enough to the swept item.

        Square to the line that is farther up by its slope, where the line that the foot of the square may
        fall on, the next one on the way up, is there and no lower than this one.
        """
        reach = _ABOVE * self.tolerance
        if self.tolerance > BIN:
            return np.full(len(bins), reach)
        way = np.where(self.lines.slope[bins] > 0.0, 1, -1)
        there = (bins + way) // _BINS == bins // _BINS
        own, far = self.lines.bare().take(bins), self.lines.bare().take(np.where(there, bins + way, bins))
        there &= own.whole() & far.whole()
        own_end, far_end = own.height(way * (BIN / 2.0)), far.height(-way * (BIN / 2.0))
        drop = np.subtract(own_end, far_end, out=np.full(len(bins), np.inf), where=there)
        drop += np.maximum(way * (own.slope - far.slope) * self.tolerance, 0.0)
        square = (reach - np.maximum(drop, 0.0)) * length(1.0, own.slope)
        return np.asarray(np.maximum(reach, square))

    def _straighten(self, blocks: Ints) -> None:
        """Lay one straight line below all of a block's lines and what they may be lifted by."""
        bins = blocks[:, None] * _BLOCK + np.arange(_BLOCK)
        blocks = blocks[full := self.lines.whole(bins).all(axis=1)]
        bins = bins[full]
        middle, lean = self.lines.middle[bins] + self.lift[bins], self.lines.slope[bins] * (BIN / 2.0)
        left, right = middle - lean, middle + lean
        slope = (right[:, -1] - left[:, 0]) / (_BLOCK * BIN)
        rise = slope[:, None] * (np.arange(_BLOCK) * BIN)
        self.block_slope[blocks] = slope
        self.block_start[blocks] = np.minimum(left - rise, right - rise - slope[:, None] * BIN).min(axis=1)

    def _covered(self, upper: _Upper) -> NDArray[np.bool_]:
        alive = np.arange(len(upper.low))
        for at in ((upper.low + upper.high) / 2.0, upper.low, upper.high):
            bins = np.clip(np.floor(at[alive] / BIN), 0, _BINS - 1).astype(np.intp)
            alive = alive[self._above(upper, alive, bins)]
        out = np.zeros(len(upper.low), dtype=bool)
        by_block = self._above_blocks(upper, alive)
        out[alive[by_block]] = True
        alive = alive[~by_block]
        alive = alive[upper.high[alive] - upper.low[alive] <= _WIDE * BIN]
        for stride in _STRIDES:
            cell, bins, _ = over_bins(upper.low[alive], upper.high[alive], stride)
            fails = np.zeros(len(alive), dtype=bool)
            fails[cell[~self._above(upper, alive[cell], bins)]] = True
            alive = alive[~fails]
        out[alive] = True
        return out

    def _above(self, upper: _Upper, cell: Ints, bins: Ints) -> NDArray[np.bool_]:
        """Whether the line of a bin is above a cell wherever the cell is in that bin."""
        middle = (bins + 0.5) * BIN
        first = np.maximum(upper.low[cell] - middle, -BIN / 2.0)
        last = np.minimum(upper.high[cell] - middle, BIN / 2.0)
        slope = upper.slope[cell]
        lines, bins = self.lines, bins + upper.first[cell]
        lean = lines.slope[bins] - slope
        least = lines.middle[bins] + np.minimum(lean * first, lean * last)
        fills = (lines.first[bins] <= first + _EPS) & (lines.last[bins] >= last - _EPS)
        return np.asarray(fills & (least + self.lift[bins] >= upper.at_axis[cell] + slope * middle))

    def _above_blocks(self, upper: _Upper, cell: Ints) -> NDArray[np.bool_]:
        """The same over whole blocks of bins: one straight line below all of a block's is a little lower."""
        size = _BLOCK * BIN
        row, block, middle = over_bins(upper.low[cell], upper.high[cell], width=size)
        at = cell[row]
        block += upper.first[at] // _BLOCK
        begin = middle - size / 2.0
        lean = self.block_slope[block] - upper.slope[at]
        first, last = np.maximum(upper.low[at] - begin, 0.0), np.minimum(upper.high[at] - begin, size)
        above = self.block_start[block] + np.minimum(lean * first, lean * last)
        out = np.ones(len(cell), dtype=bool)
        out[row[above < upper.at_axis[at] + upper.slope[at] * begin]] = False
        return out

    def samples(self, item: int, roots: Roots, asked: float) -> Cells:
        """Return samples that stand for an item's lines and the tolerance above them, at a clearance [mm].

        Bins that lie along one straight line are joined: the piece as an open stretch, its middle grown by
        its half length squared, and its ends for themselves, as a shortest line may end there. Others stand
        alone.
        """
        extra = self.tolerance - SLACK
        lines = self.of(item)
        pieces, alone = self._pieces(lines, asked, extra)
        parts = [*pieces, _alone(lines.take(alone), extra), _alone(self._replaced(item), extra)]
        x, height, tau, closed, root = (np.concatenate([part[k] for part in parts]) for k in range(5))
        pose = np.concatenate([part[5] for part in parts], axis=1)
        return as_cells((*self.placed(x, self.sides[item] * height), tau, closed, root, pose), item, roots)

    def placed(self, x: Floats, along: Floats) -> tuple[Floats, Floats]:
        """Return distance and place [mm] of points ``x`` along the bins, and the way they look."""
        return (along, x + FIRST_Y) if self.endways else (x, along)

    def of(self, item: int) -> _Lines:
        """Return an item's lines, one a bin."""
        return self.lines.take(np.arange(item * _BINS, (item + 1) * _BINS))

    def replaced_height(self, item: int) -> Floats:
        """Return for each bin of an item the greatest height of its replaced lines that count, else -inf."""
        out, old = np.full(_BINS, -np.inf), self._replaced(item)
        for end in (old.first, old.last):
            np.maximum.at(out, old.bins % _BINS, old.height(end))
        return out

    def top(self, item: int) -> Floats:
        """Return for each bin of an item a height below which all that its lines covered stays, else -inf."""
        lines, old = self.of(item), self._replaced(item)
        out = np.full(_BINS, -np.inf)
        for end in ("first", "last"):
            height = lines.height(getattr(lines, end)) + self.lift[lines.bins]
            out = np.where(lines.last >= lines.first, np.maximum(out, height), out)
            lifted = old.height(getattr(old, end)) + _ABOVE * self.tolerance * length(1.0, old.slope)
            np.maximum.at(out, old.bins % _BINS, lifted)
        return out

    def _replaced(self, item: int) -> _Lines:
        """Return the lines of an item that were replaced and that those in their place do not stand for."""
        if len(self.replaced) > 1:
            names = _Lines.__dataclass_fields__
            old = _Lines(
                *(np.concatenate([getattr(lines, f) for lines in self.replaced], axis=-1) for f in names)
            )
            self.replaced = [old.take(np.flatnonzero(~self.lines.take(old.bins).not_below(old)))]
        old = self.replaced[0] if self.replaced else self.lines.take(np.zeros(0, dtype=np.intp))
        return old.take(np.flatnonzero(old.bins // _BINS == item))

    def _pieces(self, lines: _Lines, asked: float, extra: float) -> tuple[list[Samples], Ints]:
        """Return samples for runs of an item's bins that lie along one straight line, and the bins left."""
        left, right = lines.height(np.full(_BINS, -BIN / 2.0)), lines.height(np.full(_BINS, BIN / 2.0))
        free = lines.whole()
        parts: list[Samples] = []
        for size in _PIECES:
            run = np.flatnonzero(free.reshape(-1, size).all(axis=1))
            lefts, rights = left.reshape(-1, size)[run], right.reshape(-1, size)[run]
            extent = size * BIN
            slope = (rights[:, -1] - lefts[:, 0]) / extent
            chord = lefts[:, :1] + slope[:, None] * (np.arange(size) * BIN)
            above = np.stack([lefts - chord, rights - chord - slope[:, None] * BIN])
            lift, sag = above.max(axis=(0, 2)), above.min(axis=(0, 2))
            tau = length(1.0, slope) * (extent / 2.0)
            grown = length(asked, tau) - asked + (lift - sag) + extra
            fits = np.flatnonzero((lift - sag <= _FIT * self.target) & (grown <= self.target))
            run = run[fits]
            free.reshape(-1, size)[run] = False
            low, rise = lefts[fits, 0] + lift[fits], slope[fits] * extent
            middle = np.asarray((run + 0.5) * extent, dtype=np.float64)
            at = run * size + size // 2
            root, pose, closed = lines.root[at], lines.pose[:, at], np.full(len(run), extra)
            for share, spread in ((0.5, tau[fits]), (0.0, 0.0 * closed), (1.0, 0.0 * closed)):
                parts.append(
                    (middle + (share - 0.5) * extent, low + share * rise, spread, closed, root, pose)
                )
        return parts, np.flatnonzero(free | ((lines.last >= lines.first) & ~lines.whole()))


Samples = tuple[Floats, Floats, Floats, Floats, Ints, Floats]
"""Distance, place, tau and closed travel, root and pose of samples, each (n,), the pose (DIMS, n)."""


def as_cells(samples: Samples, item: int, roots: Roots) -> Cells:
    """Return samples of an item as they are kept."""
    r, y, tau, closed, root, pose = samples
    place = np.stack(mo.chart_points(roots.charts.take(root), pose)[0], axis=1)
    zero = np.zeros(len(r))
    return Cells(np.full(len(r), item), r, y, tau, zero, closed, roots.thickness[root], place, pose.T)


def _alone(lines: _Lines, extra: float) -> Samples:
    """Return pieces of lines of single bins, each grown to all that it stands for."""
    pieces = np.ceil(length(1.0, lines.slope)).astype(np.intp)
    part = lines.take(np.repeat(np.arange(len(pieces)), pieces))
    width = (part.last - part.first) / np.repeat(pieces, pieces)
    offset = part.first + (_count_up(pieces) + 0.5) * width
    spread = length(1.0, part.slope) * width / 2.0
    r = (part.bins % _BINS + 0.5) * BIN + offset
    return r, part.height(offset), np.zeros(len(r)), spread + extra, part.root, part.pose


class _Upper:
    """_Lines above n cells: height where r = 0, slope, the distances low to high that need a cover, and the
    first bin of the cell's item.
    """

    def __init__(self, at_axis: Floats, slope: Floats, low: Floats, high: Floats, first: Ints) -> None:
        self.at_axis, self.slope, self.low, self.high, self.first = at_axis, slope, low, high, first


def _count_up(counts: Ints) -> Ints:
    """Return 0..count-1 for each count, end to end."""
    return np.asarray(np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts))


def over_bins(low: Floats, high: Floats, stride: int = 1, width: float = BIN) -> tuple[Ints, Ints, Floats]:
    """Return (row, bin, its middle [mm]) for each ``stride``-th bin that meets low..high of each row."""
    most = int(_BINS * BIN / width) - 1
    first = np.clip(np.floor(low / width), 0, most).astype(np.intp)
    last = np.clip(np.floor(high / width), -1, most).astype(np.intp)
    count = np.maximum((last - first) // stride + 1, 0)
    row = np.repeat(np.arange(len(low)), count)
    begin = first - stride * (np.cumsum(count) - count)
    chosen = stride * np.arange(len(row)) + begin[row]
    return row, chosen, np.asarray((chosen + 0.5) * width, dtype=np.float64)
