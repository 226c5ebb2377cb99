"""Long invented logs, in the manner of the demo rig's."""

import json
import random
from datetime import datetime, timedelta, timezone

from conftest import ROOT

DAY_S = 86400


def long_log(asked_s, days):
    """A log of so many days in the manner of the demo: two readings a day, a sky and four uses."""
    data = json.loads((ROOT / "pwa" / "demo" / "demo.json").read_text())
    rng = random.Random(3)
    lists = {name: [] for name in ("readings", "uses", "skies", "charges", "events")}
    zone = timezone(timedelta(hours=-6))
    for back in range(days, 0, -1):
        at = datetime.fromtimestamp(asked_s - back * DAY_S, zone)
        for hour, volts in ((7, 12.45), (20, 12.62)):
            lists["readings"].append({"id": f"r{back}-{hour}", "at": at.replace(hour=hour).isoformat(), "state": "loaded",
                                      "volts": round(volts + rng.uniform(-0.1, 0.1), 2), "gauge_id": data["gauges"][0]["id"]})
        lists["skies"].append({"id": f"s{back}", "day": at.date().isoformat(), "condition": rng.choice(["clear", "partly"])})
        for circuit in data["circuits"][1:3]:
            lists["uses"].append({"id": f"u{back}-{circuit['id']}", "day": at.date().isoformat(),
                                  "circuit_id": circuit["id"], "hours": round(rng.uniform(0, 4), 1)})
    return data | lists | {"positions": []}
