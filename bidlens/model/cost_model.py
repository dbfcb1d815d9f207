"""The expected unit cost of a county's bridges: fit a price history, predict, place an offer, restate by geometry."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from bidlens import quarters
from bidlens.errors import NotEnoughHistory
from bidlens.findings import Finding
from bidlens.model import diagnostics, grades, priors
from bidlens.model.cross_checks import cross_checks
from bidlens.model.design import Layout, design_matrix, new_ground, prior_mean, prior_precision
from bidlens.model.explain import Reference, contributions, in_words, no_contributions, reference_words
from bidlens.model.fit import GridFit, fit_grid
from bidlens.model.geometry import Filler, Terms, code_types, learn_filler, log_area, log_span, row_weights
from bidlens.model.joint import Bridges, Together
from bidlens.model.levels import Levels, as_cost_index
from bidlens.model.posterior import lengthened, weighted_least_squares
from bidlens.model.predict import QUANTILES, Predictive, filled_in_variance, predictive
from bidlens.model.rows import NOT_STATED, Geometry, Rows, read_geometry, read_rows
from bidlens.reference import CostIndex


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """m structures as the fit sees them; see `Evidence`, `Bridges` and `predictive` for the parts."""

    geometry: Geometry
    dates: pd.Series
    codes: np.ndarray
    year: np.ndarray
    design: np.ndarray
    span_beyond: np.ndarray
    own_variance: np.ndarray
    log_level: np.ndarray


@dataclass(frozen=True, slots=True, eq=False)
class CostModel:
    """A fitted price history. Get one from `fit_cost_model`.

    rows : the usable rows, in the model's own order. left_out : rows not used, with reasons.
    fit : None below four rows; then nothing is predicted. findings : doubts about the history and the fit.
    """

    rows: Rows
    left_out: pd.DataFrame
    levels: Levels
    filler: Filler
    layout: Layout
    fit: GridFit | None
    findings: list[Finding]

    @property
    def n(self) -> int:
        """Usable rows, the screened ones among them."""
        return len(self.rows.frame)

    @property
    def support(self) -> str:
        """What this many rows carry, in words."""
        return priors.support(self.n)

    @property
    def types(self) -> dict[str, int]:
        """Rows of each superstructure type, most first."""
        counts = {name: int((self.rows.type_code == code).sum()) for code, name in enumerate(self.rows.types)}
        return dict(sorted(counts.items(), key=lambda pair: (-pair[1], pair[0])))

    def span_range(self, superstructure: str) -> tuple[float, float] | None:
        """Shortest and longest span on record for a type, feet; None where no span is known."""
        span = self.rows.geometry.span_ft[self.rows.frame["superstructure"].to_numpy() == superstructure]
        known = span[np.isfinite(span)]
        return (float(known.min()), float(known.max())) if len(known) else None

    @property
    def screened(self) -> pd.DataFrame:
        """Rows the fit set aside as too far out, with what they would have been expected to cost ($/sf)."""
        return diagnostics.screened_rows(self.rows, self.fit)

    @property
    def coefficients(self) -> pd.DataFrame:
        """Every coefficient on the natural-log scale: term, mean, sd. Empty below four rows."""
        if self.fit is None:
            return pd.DataFrame(
                {"term": pd.Series(dtype="str"), "mean": pd.Series(dtype=float), "sd": pd.Series(dtype=float)}
            )
        return pd.DataFrame({"term": self.layout.names, "mean": self.fit.mean, "sd": self.fit.sd})

    def predict(self, structures: pd.DataFrame) -> pd.DataFrame:
        """Expected unit cost of m structures, with its whole distribution.

        structures : superstructure, deck_area_sf, span_ft, skew_deg, bidders, letting_date; a missing column or value
            counts as unknown. Returns, in the same row order and index, p05 p10 p25 p50 p75 p90 p95 mean in $/sf, df,
            grade (A to D) and reason. Dollars are those of each letting_date when the model has an index, else those
            of the history's adjusted prices. Numbers are NaN, with grade D and the reason, below four rows of history
            and where the letting date does not fall inside or after the index.
        """
        if self.fit is None:
            return self._no_prediction(structures.index)
        asked = self._ask(structures)
        found = self._predictive(asked)
        evidence = self._evidence(asked, found)
        table = found.table(structures.index)
        table["grade"] = grades.grade(evidence)
        table["reason"] = grades.reasons(evidence)
        undated = np.isnan(found.middle)
        table.loc[undated, "grade"] = "D"
        table.loc[undated, "reason"] = "no letting date that falls inside or after the cost index"
        table.loc[undated, "df"] = np.nan
        return table.astype({"grade": "str", "reason": "str"})

    def explain(self, structures: pd.DataFrame) -> pd.DataFrame:
        """The ratios that lead from the reference bridge to the median of m structures, same row order and index.

        Columns reference, type, span, deck_area, bidders, skew, market, index, p50: reference times all ratios is
        p50, the one `predict` gives. The reference is told by `reference_words`; it stands in the year and the dollars
        of the last letting on record. A value nobody wrote down counts as what stands in for it. NaN as in `predict`.
        """
        if self.fit is None:
            return no_contributions(structures.index)
        asked = self._ask(structures)
        table = contributions(self.fit, self.layout, asked.design, asked.log_level, self._reference())
        return table.set_index(structures.index)

    @property
    def reference_words(self) -> str:
        """The bridge every explanation starts from, in words."""
        if self.levels.index is None or not self.n:
            return reference_words()
        if self.levels.index.is_none:
            return reference_words("in dollars as bid")
        last = quarters.quarter_of(self.rows.geometry.dates.max().date())
        return reference_words(f"dollars of {quarters.shown(last)}")

    def in_words(self) -> pd.DataFrame:
        """Each shared effect in a sentence with its interval, types from 25 rows: IN_WORDS_COLUMNS of `explain`."""
        return in_words(self.fit, self.layout, self.filler.spans_known, self.n)

    @property
    def influential(self) -> pd.DataFrame:
        """Rows whose removal would move some type's reference bridge by more than 10 %, the strongest first."""
        return diagnostics.influential_rows(self.rows, self.fit, self._reference().row(self.layout))

    def _reference(self) -> Reference:
        """The reference bridge in the year and the dollars of the last letting on record."""
        if not self.n:
            return Reference(self.layout.last_year, 0.0, 0.0)
        last = pd.Series([self.rows.geometry.dates.max()])
        level, departure = float(self.levels.log_level(last)[0]), float(self.levels.departure(last)[0])
        return Reference(self.layout.last_year, departure, level)

    def percentile(self, structures: pd.DataFrame, unit_cost: Any) -> np.ndarray:
        """Where offers sit among prices to be expected, 0 to 1: the share of like lettings that would be lower.

        unit_cost : $/sf in the dollars of `predict`, one per structure, or one for all. NaN below four rows of
            history and for an offer that is not above zero.
        """
        offers = np.broadcast_to(np.asarray(unit_cost, dtype=float), (len(structures),))
        if self.fit is None:
            return np.full(len(structures), np.nan)
        return self._predictive(self._ask(structures)).percentile(offers)

    def draw(
        self,
        structures: pd.DataFrame,
        draws: int,
        rng: np.random.Generator,
        without: Collection[str] = (),
        *,
        letting: np.ndarray | None = None,
        lettings: int = 0,
    ) -> np.ndarray:
        """Unit costs of m structures drawn together, draws by m, in the dollars of `predict`: for totals of a program.

        Every row is one future: slopes, new types, the market of each year and the index are shared by its structures.
        without : sources of doubt held at their middle: index, market, model, scatter; to see what each carries.
        letting : number, below `lettings`, of the single letting each row is; rows of one number share its luck,
            so that they differ by what is changed and not by chance. Every row is its own letting when None.
        Raises NotEnoughHistory below four rows. NaN where `predict` gives NaN.
        """
        return self.together(structures, letting=letting, lettings=lettings).draw(draws, rng, without)

    def together(self, structures: pd.DataFrame, *, letting: np.ndarray | None = None, lettings: int = 0) -> Together:
        """m structures made ready for `draw`, to be drawn more than once. Arguments and errors are those of `draw`."""
        fit, asked = self._fitted(), self._ask(structures)
        new_type = np.where(asked.codes < 0, asked.geometry.superstructure, "")
        bridges = Bridges(
            design=asked.design,
            new_type=new_type,
            year=asked.year,
            own_variance=asked.own_variance,
            log_level=asked.log_level,
            quarters_ahead=self.levels.quarters_ahead(asked.dates),
            years=(self.layout.first_year, self.layout.last_year),
            letting=np.arange(len(structures)) if letting is None else letting,
            lettings=len(structures) if letting is None else lettings,
        )
        return Together(fit, bridges, self.levels.forecast(asked.dates))

    def at_reference_span(self, frame: pd.DataFrame) -> pd.Series:
        """Unit costs restated to a 60 ft span by the fitted span terms; NaN where the span is not known.

        Uses unit_cost_adjusted, or unit_cost where the frame has no adjusted column.
        """
        price = frame["unit_cost_adjusted" if "unit_cost_adjusted" in frame else "unit_cost"].astype(float)
        span = read_geometry(frame).span_ft
        return price * self.span_ratio(span, priors.REFERENCE_SPAN_FT)

    def span_ratio(self, span_ft: Any, to_span_ft: Any) -> np.ndarray:
        """Expected unit cost at one span over that at another, all else equal; NaN where a span is not known."""
        mean = self._mean()

        def curve(span: Any) -> np.ndarray:
            log = log_span(np.asarray(span, dtype=float))
            return np.asarray(mean[priors.SPAN] * log + mean[priors.SPAN_SQUARED] * log**2)

        return np.asarray(np.exp(curve(to_span_ft) - curve(span_ft)))

    def geometry_ratio(self, from_rows: pd.DataFrame, to_row: pd.Series | pd.DataFrame) -> pd.Series:
        """Factor that restates the unit cost of each of n structures to the geometry of another.

        Product of the fitted span, deck area and skew terms. A value missing on either side changes nothing.
        """
        target = to_row.to_frame().T if isinstance(to_row, pd.Series) else to_row
        here, there = read_geometry(from_rows), read_geometry(target)
        mean = self._mean()
        span = np.nan_to_num(np.log(self.span_ratio(here.span_ft, there.span_ft)))
        area = np.nan_to_num(mean[priors.AREA] * (log_area(there.deck_area_sf) - log_area(here.deck_area_sf)))
        skew = np.nan_to_num((there.skew_deg**2 - here.skew_deg**2) / priors.REFERENCE_SKEW_DEG**2)
        return pd.Series(np.exp(span + area + mean[priors.SKEW] * skew), index=from_rows.index)

    def diagnostics(self) -> pd.DataFrame:
        """How every row sits in the fit: fitted, residual, leverage, left-out z, weight, screened."""
        return diagnostics.row_table(self.rows, self.fit)

    def cross_checks(self) -> pd.DataFrame:
        """The shared terms found by other methods: ordinary regression from 25 rows, mixed and robust from 60."""
        return cross_checks(self.rows, self.layout, self.fit)

    def summary(self) -> Any:
        """statsmodels' weighted least squares of the best cell, the prior as extra rows; `.summary()` prints it."""
        fit = self._fitted()
        results = weighted_least_squares(*lengthened(fit.problem, fit.precisions[fit.best]))
        results.model.data.xnames = self.layout.names
        return results

    def _mean(self) -> np.ndarray:
        """Coefficients: fitted, or their prior means below four rows."""
        return prior_mean(self.layout, 0.0) if self.fit is None else self.fit.mean

    def _fitted(self) -> GridFit:
        if self.fit is None:
            raise NotEnoughHistory(f"{self.n} priced structures cannot be fitted", do="Four or more are needed.")
        return self.fit

    def _ask(self, structures: pd.DataFrame) -> _Asked:
        """Structures as the fit sees them."""
        geometry = read_geometry(structures)
        dates = self._dates(geometry)
        terms = self.filler.terms(geometry)
        codes = code_types(geometry.superstructure, self.rows.types)
        codes = np.where(geometry.superstructure == NOT_STATED, -1, codes)
        year = dates.dt.year.fillna(self.layout.last_year + 1).to_numpy(dtype=int)
        beyond = diagnostics.span_beyond(self.rows, codes, geometry.span_ft)
        return _Asked(
            geometry=geometry,
            dates=dates,
            codes=codes,
            year=year,
            design=design_matrix(terms, np.nan_to_num(self.levels.departure(dates)), codes, year, self.layout),
            span_beyond=beyond,
            own_variance=(priors.EXTRAPOLATION_SD * beyond) ** 2 + filled_in_variance(self._fitted(), terms),
            log_level=self.levels.log_level(dates),
        )

    def _dates(self, geometry: Geometry) -> pd.Series:
        """Letting dates asked for; without an index an unknown one is taken as the year after the last letting."""
        if self.levels.index is not None:
            return geometry.dates
        return geometry.dates.fillna(self.rows.geometry.dates.max() + pd.DateOffset(years=1))

    def _predictive(self, asked: _Asked) -> Predictive:
        ground = new_ground(asked.codes, asked.year, self.layout)
        added = asked.own_variance + self.levels.forecast_variance(asked.dates)
        return predictive(self._fitted(), asked.design, ground, asked.log_level, added)

    def _evidence(self, asked: _Asked, found: Predictive) -> grades.Evidence:
        counts = np.append(np.bincount(self.rows.type_code, minlength=len(self.rows.types)), -1)
        geometry = asked.geometry
        swayed_by, sway = self._sway(asked.design)
        return grades.Evidence(
            rows=self.n,
            of_type=counts[asked.codes],
            span_beyond=asked.span_beyond,
            area_beyond=diagnostics.area_beyond(self.rows, geometry.deck_area_sf),
            ignorance=np.nan_to_num(found.ignorance),
            years_since=(asked.year - self.layout.last_year).astype(float),
            quarters_ahead=self.levels.quarters_ahead(asked.dates),
            no_span=np.isnan(geometry.span_ft) & (self.filler.spans_known > 0),
            no_area=np.isnan(geometry.deck_area_sf),
            no_bidders=np.isnan(geometry.bidders) & (self.filler.bidders_median is not None),
            swayed_by=swayed_by,
            sway=sway,
        )

    def _sway(self, design: np.ndarray) -> tuple[list[str], np.ndarray]:
        """The contract whose removal would move each prediction most, and by what share."""
        if self.n > diagnostics.SWAY_ROWS:
            return [""] * len(design), np.zeros(len(design))
        which, share = diagnostics.largest_sway(self._fitted(), design)
        return [diagnostics.named(self.rows, int(row)) for row in which], share

    def _no_prediction(self, index: pd.Index) -> pd.DataFrame:
        table = pd.DataFrame(np.nan, index=index, columns=[*QUANTILES, "mean", "df"])
        counted = "no priced structure" if not self.n else f"only {self.n} priced structure{'s' if self.n > 1 else ''}"
        reason = f"{counted} on record; {priors.ROWS_FOR_PREDICTION} are needed, so published ranges only"
        return table.assign(grade="D", reason=reason).astype({"grade": "str", "reason": "str"})


def fit_cost_model(history: pd.DataFrame, index: CostIndex | pd.DataFrame | None = None) -> CostModel:
    """Fit a county's price history: a shrunken log-linear regression, robust, averaged over the spread it cannot know.

    history : one row per priced structure with letting_date, superstructure, deck_area_sf and a price; span_ft,
        skew_deg and bidders where known; other columns are ignored. Row order and type names change nothing.
    index : a CostIndex, or a frame with columns quarter ("2024Q2") and value: unit_cost as bid is then modelled and
        predictions are in dollars of each letting date. None: unit_cost_adjusted (or unit_cost times index_ratio) is
        modelled as it stands.
    Raises BadValue where a needed column is absent. Rows that cannot be used are listed, not raised.
    """
    rows, levels, left_out = read_rows(history, as_cost_index(index))
    filler = learn_filler(rows)
    years = rows.year if len(rows.year) else np.array([0])
    layout = Layout(rows.types, int(years.min()), int(years.max()))
    fit = _fit(rows, filler.terms(rows.geometry), layout) if len(rows.frame) >= priors.ROWS_FOR_PREDICTION else None
    findings = diagnostics.find_doubts(rows, left_out, filler, fit, history, levels)
    return CostModel(rows, left_out, levels, filler, layout, fit, findings)


def _fit(rows: Rows, terms: Terms, layout: Layout) -> GridFit:
    design = design_matrix(terms, rows.departure, rows.type_code, rows.year, layout)
    middle = prior_mean(layout, float(np.median(rows.log_cost)))
    return fit_grid(design, rows.log_cost, row_weights(terms), middle, prior_precision(layout))
