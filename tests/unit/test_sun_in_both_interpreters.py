"""The sun, the sky, the panel and the draws give one result in CPython and in the phone's MicroPython.

The whole model is compared in a real browser elsewhere; this is the quick comparison for
whoever changes one of these files. It needs Node.js, and the phone's interpreter in pwa/vendor/.
"""

import json
import shutil
import subprocess
import textwrap

import pytest

SAME = 1e-9  # relative

# Runs in both interpreters, so it keeps to the dialect of the model.
FIGURES = textwrap.dedent("""
    from daybank.energy import air, clear_sky, draws, panel, plane, sky, sun

    def figures():
        out = []
        source = draws.Draws(42, 3)
        out += [source.uniform() for _ in range(50)] + source.shuffled(20) + source.normal_strata(10)
        for i in range(40):
            t, lat, lon, month = 1735689600.0 + i * 86400.0 * 9.13, -63.0 + i * 3.2, -170.0 + i * 8.7, 1 + i % 12
            out += list(sun.position(t, lat, lon))
            out += [sun.apparent_elevation(t, lat, lon), sun.solar_time_h(t, lon), sun.month_at(t)]
            day = sun.rise_set(t, lat, lon)
            out += [x for x in day if isinstance(x, float)]
            out += list(sun.Arc(t, lat, lon).direction(t + 40000.0))
            out += list(clear_sky.clear_day(starts_at_s=t, lat_deg=lat, lon_deg=lon, altitude_m=300.0,
                                            linke=clear_sky.linke_turbidity(lat, month), step_s=3600.0))
            clear_kt = sky.clear_day_kt(day_start_s=t, lat_deg=lat, lon_deg=lon, altitude_m=300.0)
            mean_kt = sky.season_mean_kt(lat, month, None, source.normal())
            out += [clear_kt, mean_kt]
            for _ in range(5):
                z = source.normal()
                index = sky.clear_index_from_score(z, mean_kt, clear_kt)
                out += [z, index, sky.score_of_index(index, mean_kt, clear_kt)]
                out += [sky.clear_index_from_word(word, z) for word in sorted(sky.WORDS)]
            out += air.day_hours(day_place={"lat_deg": lat, "lon_deg": lon}, day_start_s=t, rise_s=day.rise_s,
                                 month=month)
        out += list(plane.on_slope(tilt_deg=10.0, azimuth_deg=77.0, slope_deg=4.0, slope_toward_deg=200.0))
        for controller in ("mppt", "pwm"):
            for azimuth_deg, window in ((None, None), (100.0, (32400.0, 55800.0))):
                for day in panel.harvest_days(
                        day_starts_s=[1750489200.0 + 86400.0 * i for i in range(6)], air_c=[[20.0] * 24] * 6,
                        lat_deg=40.5, lon_deg=-108.0, altitude_m=2000.0, tilt_deg=15.0, azimuth_deg=azimuth_deg,
                        panel_w=100.0, controller=controller, max_a=5.0, nominal_v=12.0, sun_window_s=window):
                    for row in day:
                        out += list(row)
        return [float(x) for x in out]
""")

RUNNER = """
import fs from 'node:fs';
import path from 'node:path';
const [, , loader, model, text] = process.argv;
const { loadMicroPython } = await import(loader);
const phone = await loadMicroPython({ heapsize: 16 * 1024 * 1024, stdout: (line) => console.log(line) });
for (const folder of ['/model', '/model/daybank', '/model/daybank/energy']) phone.FS.mkdir(folder);
for (const folder of ['/model/daybank', '/model/daybank/energy']) phone.FS.writeFile(`${folder}/__init__.py`, '');
for (const file of fs.readdirSync(model).filter((name) => name.endsWith('.py') && name !== '__init__.py'))
  phone.FS.writeFile(`/model/daybank/energy/${file}`, fs.readFileSync(path.join(model, file)));
phone.FS.writeFile('/model/figures.py', fs.readFileSync(text));
phone.runPython("import sys; sys.path.append('/model'); import figures; print([repr(x) for x in figures.figures()])");
"""


@pytest.mark.skipif(shutil.which("node") is None, reason="Node.js is missing; the browser compares the whole model")
def test_the_phone_and_the_server_agree_on_sun_sky_panel_and_draws(repository, tmp_path):
    loader = repository / "pwa" / "vendor" / "micropython.mjs"
    assert loader.is_file(), "The phone's interpreter is missing; install the project, which fetches it."
    runner, text = tmp_path / "runner.mjs", tmp_path / "figures.py"
    runner.write_text(RUNNER)
    text.write_text(FIGURES)
    ran = subprocess.run(["node", runner, loader.as_uri(), repository / "server/daybank/energy", text],
                         capture_output=True, text=True, timeout=120, check=False)
    assert ran.returncode == 0, ran.stderr
    phone = [float(figure) for figure in json.loads(ran.stdout.strip().replace("'", '"'))]
    here = {}
    exec(FIGURES, here)  # noqa: S102 - our own text above
    server = here["figures"]()
    assert len(phone) == len(server) > 3000
    for one, other in zip(phone, server, strict=True):
        assert one == pytest.approx(other, rel=SAME, abs=1e-12)
