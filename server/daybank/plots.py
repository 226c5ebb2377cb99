"""A page that shows every story's band against its truth: drawn as inline SVG, without a script.

One row per story, sorted by truth within its group, days to the right. A long thin bar is the 10-90 % band, a short
upright stroke the middle, a diamond the truth; a truth outside its band is drawn filled, so that a group that is
systematically wrong shows at one look.
"""
from html import escape

from daybank import trial_table

WIDTH = 900
LEFT = 90  # room for names
RIGHT = 60
ROW = 15
HORIZON_DAYS = 14.0
STYLE = """
body { font: 16px/1.45 Georgia, serif; margin: 2rem auto; max-width: 62rem; padding: 0 1rem; color: #2b2433;
  background: #fbf7f0; }
h1 { font-size: 1.5rem; } h2 { font-size: 1.1rem; margin: 2rem 0 .3rem; }
table { border-collapse: collapse; font-size: .8rem; width: 100%; }
th, td { padding: .15rem .4rem; text-align: right; border-bottom: 1px solid #d9cfc0; }
th:first-child, td:first-child { text-align: left; white-space: pre; }
svg { width: 100%; height: auto; } text { font: 11px Georgia, serif; fill: #2b2433; }
.line { stroke: #d9cfc0; } .band { stroke: #8a6fae; stroke-width: 5; } .middle { stroke: #3d2a57; stroke-width: 2; }
.held { fill: #fbf7f0; stroke: #2b2433; } .missed { fill: #c2481e; stroke: #c2481e; }
"""
GROUP_TITLES = {
    "family": "By family", "chemistry": "By chemistry", "history": "By length of the log",
    "solar": "With and without solar", "rested": "With and without a rested reading",
}


def trial_page(results: list, *, members: int, seed: int) -> str:
    """The whole page.

    Parameters
        results: as trial.run_trial gives them. members, seed: what they were made with.
    """
    scored = [r for r in results if "failed" not in r]
    parts = [
        "<!doctype html>", '<html lang="en"><head><meta charset="utf-8"><title>Bands and truths</title>',
        f"<style>{STYLE}</style></head><body>", "<h1>Bands against truths</h1>",
        f"<p>{len(scored)} stories, {members} members, seed {seed}. Bar: 10-90 % band of days left. Stroke: the "
        "middle. Diamond: the truth, filled where the band misses it. The right edge is day 14; a diamond there lies "
        "beyond it. Number: CRPS in days.</p>", _table(results),
    ]
    for group, title in GROUP_TITLES.items():
        parts.append(f"<h2>{title}</h2>")
        for value in sorted({r["groups"][group] for r in scored}):
            chosen = [r for r in scored if r["groups"][group] == value]
            parts.append(f"<h3>{escape(value)}</h3>{plot(chosen)}")
    parts.append("</body></html>")
    return "\n".join(parts) + "\n"


def plot(results: list) -> str:
    """One group's stories as an SVG element, sorted by truth, those beyond the horizon last."""
    ordered = sorted(results, key=lambda r: (_truth(r), r["p50"], r["name"]))
    height = ROW * len(ordered) + 24
    held = sum(r["score"]["inside"] for r in ordered)
    parts = [
        f'<svg viewBox="0 0 {WIDTH} {height}" role="img">'
        f"<title>{held} of {len(ordered)} bands hold their truth</title>"
    ]
    for day in range(0, 15, 2):
        parts.append(f'<path class="line" d="M{_x(day)} 0V{height - 18}"/>')
        parts.append(f'<text x="{_x(day)}" y="{height - 5}" text-anchor="middle">{day}</text>')
    for index, result in enumerate(ordered):
        parts.append(_row(result, ROW * index + ROW / 2))
    parts.append("</svg>")
    return "".join(parts)


def _row(result: dict, y: float) -> str:
    at = _x(_truth(result))
    kind = "held" if result["score"]["inside"] else "missed"
    return (
        f'<text x="{LEFT - 8}" y="{y + 4}" text-anchor="end">{escape(result["name"])}</text>'
        f'<path class="band" d="M{_x(result["p10"])} {y}H{max(_x(result["p90"]), _x(result["p10"]) + 1)}"/>'
        f'<path class="middle" d="M{_x(result["p50"])} {y - 5}v10"/>'
        f'<path class="{kind}" d="M{at} {y - 4.5}l4.5 4.5l-4.5 4.5l-4.5 -4.5z"/>'
        f'<text x="{WIDTH - RIGHT + 12}" y="{y + 4}">{result["score"]["crps"]:.2f}</text>'
    )


def _table(results: list) -> str:
    head = "".join(f"<th>{escape(name)}</th>" for name, _ in trial_table.COLUMNS)
    body = ""
    for row in trial_table.rows(results):
        body += "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in trial_table.cells(*row)) + "</tr>"
    key = "".join(f"<li>{escape(line)}</li>" for line in trial_table.key(results))
    return f"<table><tr>{head}</tr>{body}</table><ul>{key}</ul>"


def _truth(result: dict) -> float:
    days = result["truth"]["days_left"]
    return HORIZON_DAYS if days is None else days


def _x(days: float) -> float:
    return round(LEFT + (WIDTH - LEFT - RIGHT) * min(max(days, 0.0), HORIZON_DAYS) / HORIZON_DAYS, 1)
