"""How the page of trends says a point: conclusion, sentence and row, in the test's own words."""

from tests.end_to_end.trend_statistics import FEWEST_EVENTS, tenth


def named(month):
    return f"{month:%B %Y}"


def newest(points, name):
    """(month, point) that the measure is judged by."""
    return next((month, point) for month, point in reversed(points[name].items()) if not point.is_provisional)


def conclusion(points, name, good):
    settled = [point for point in points[name].values() if not point.is_provisional]
    if sum(point.many for point in settled[:12]) < FEWEST_EVENTS:
        return "too few for a chart to judge"
    signal = newest(points, name)[1].signal
    if signal is None:
        return "nothing beyond chance"
    return {"for the worse": "worse than usual", "for the better": "better than usual"}.get(
        meaning(signal, good), "unlike usual"
    ) + ", by more than chance"


def meaning(signal, good):
    if good == "neither":
        return "a change"
    return "for the better" if signal.endswith("_high") == (good == "up") else "for the worse"


def in_words(point, measure):
    rate = f"{tenth(point.rate)} %" if point.is_share else f"{tenth(point.rate)} for each 1,000"
    low, high = (tenth(value) for value in point.interval)
    unit = " %" if point.is_share else ""
    counted = f"{point.many:,} {measure.counted}, {'of' if point.is_share else 'in'} {point.of:,} {measure.out_of}"
    if point.is_share and point.of < 50:
        return f"{counted}."
    chance = f"By chance alone such a month can come of any true rate from {low} to {high}{unit} (95 % interval)."
    return f"{counted}: {rate}. {chance}"


def row_of(name, month, point, *, certain, measure, labels, judged):
    low, high = (tenth(value) for value in point.interval)
    unit = " %" if point.is_share else ""
    shown = (
        ["no rate (under 50)"] * 2
        if point.is_share and point.of < 50
        else [f"{tenth(point.rate)}{unit}", f"{low} to {high}{unit}"]
    )
    said = "Provisional." if point.is_provisional else "within chance" if judged else "not judged"
    if point.signal:
        way, signal = meaning(point.signal, measure.good), labels["signal", point.signal]
        said = f"{way[0].upper()}{way[1:]}. {signal[0].upper()}{signal[1:]}."
    return [named(month), f"{point.many:,}", *certain, f"{point.of:,}", *shown, said]
