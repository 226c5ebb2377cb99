"""course.py - the hours of a question: what each may bring and take, and where the log speaks.

Knows: places and stops by time, the grid of hours, the rows that `member.advance` eats, the marks at which the
replay pauses. Leaves to others: draws of a circuit (loads.py), amps of a panel (panel.py), what a mark says
(estimate.py).
"""
from daybank.energy import air, loads, panel, plane, sky, sun

HOUR_S = 3600.0
HORIZON_DAYS = 14
LONGEST_TRIP_DAYS = 31
LEVELS = (0.1, 0.4, 0.7, 1.0)      # clear-sky indexes at which the panel's amps are laid down
NIGHT_STEP_H = 3                   # sunless hours run in longer steps: the course of charge is nearly straight there
OLDEST_REPLAY_DAYS = 30
DAWN_WITHOUT_PLACE_H = 6.0
BANK_INSIDE_WARMER_C, BANK_HEATED_C = 4.0, 12.0      # our assumptions, no source


class Day:
    """One local day.

    Attributes
        name, starts_s, ends_s: the day. rise_s, set_s: sun (None without a place or in polar day or night).
        sun_a: clear-sky amps of each hour at index 1. total_ah: their sum.
        ratio: day's harvest at each of LEVELS over that at 1.
        clear_kt: clear-day irradiation over extraterrestrial. place: the place in force at noon, or None.
        word, harvest_ah: what the person said of the sky, or None. kind: 'as_usual', 'away' or None.
    """
    __slots__ = ('name', 'starts_s', 'ends_s', 'rise_s', 'set_s', 'sun_a', 'total_ah', 'ratio', 'clear_kt', 'place',
                 'word', 'harvest_ah', 'kind', 'by_source', 'mean_c')

    def dawn_s(self) -> float:
        """Sunrise, or 06:00 where there is none or no place."""
        return self.rise_s if self.rise_s is not None else self.starts_s + DAWN_WITHOUT_PLACE_H * HOUR_S


class Part:
    """Rows between two marks, all within one day; `marks` are the records that speak at its end."""
    __slots__ = ('day', 'rows', 'begin_s', 'end_s', 'marks')


class Course:
    """The whole span: days, loads, and parts before (`log`) and after (`ahead`) the question."""
    __slots__ = ('days', 'grid', 'loads', 'log', 'ahead', 'asked_s', 'starts_s', 'cabin_c', 'trip', 'bank_c',
                 'cutoffs', 'charging')


def trip_at(question: dict, at_s: float) -> dict:
    """The trip that holds an instant, or None. Of overlapping trips the one that began last."""
    best = None
    for trip in question.get('trips') or []:
        if trip['starts_at'] <= at_s <= trip['ends_at'] and (best is None or trip['starts_at'] > best['starts_at']):
            best = trip
    return best


def place_at(question: dict, at_s: float) -> dict:
    """Where the rig stands: the stop, else the trip, else the rig's own place; None without coordinates.

    Returns
        A dict with lat_deg, lon_deg, altitude_m and shade (0 when not given) and, where given, night_c, day_c,
        sun_window, heading_deg, slope_deg, slope_toward_deg, season_sky (dry, average or wet: what the season is
        usually like here) and sources_off (ids of panels that are covered, or not set up).
    """
    trip = trip_at(question, at_s)
    asked = question['asked_at']
    if trip is None and at_s > asked:
        trip = trip_at(question, asked)     # how long would the bank carry them if they stayed
    place = {}
    for source in (question['rig'], trip or {}, _stop_at(trip, at_s)):
        for key in ('lat_deg', 'lon_deg', 'altitude_m', 'shade', 'night_c', 'day_c', 'sun_window', 'heading_deg',
                    'slope_deg', 'slope_toward_deg', 'season_sky', 'sources_off'):
            if source.get(key) is not None:
                place[key] = source[key]
    if place.get('lat_deg') is None or place.get('lon_deg') is None:
        return None
    place['altitude_m'] = place.get('altitude_m') or 0.0
    place['shade'] = place.get('shade') or 0.0
    return place


def _stop_at(trip, at_s):
    best = {}
    for stop in (trip or {}).get('stops') or []:
        if stop['from'] <= at_s and (not best or stop['from'] >= best['from']):
            best = stop
    return best


def course(question: dict, *, rig, starts_s: float, horizon_days: int = HORIZON_DAYS) -> Course:
    """Lay out the hours from the start of the replay to the horizon.

    Parameters
        question: the question.
        rig: member.Rig.
        starts_s: where the replay begins.
        horizon_days: days after the question.
    Returns
        Course.
    Raises
        ValueError: the table of days ends before the horizon.
    """
    asked = question['asked_at']
    table = question['days']
    first = 0
    while first + 1 < len(table) and table[first + 1][1] <= starts_s:
        first += 1
    first = max(0, first - 1)      # the day before as well: what charged then still stands in the volts
    last = first
    while last + 1 < len(table) and table[last][1] < asked + horizon_days * 24 * HOUR_S:
        last += 1
    names = table[first:last + 1]
    if len(names) < 2 or names[-1][1] < asked + horizon_days * 24 * HOUR_S:
        raise ValueError('The table of days does not reach past the question; give days up to 33 after asked_at')
    out = Course()
    out.asked_s, out.starts_s = asked, starts_s
    out.trip = trip_at(question, asked)
    grid_s = names[0][1]
    hours = int((names[-1][1] - grid_s) // HOUR_S)
    out.grid = (grid_s, hours)
    out.days = _days(question, names, rig)
    out.cabin_c, out.bank_c = _temperatures(out.days, grid_s, hours, rig.lives)
    sunsets = [d.set_s if d.set_s is not None else d.starts_s + loads.SUNSET_WITHOUT_PLACE_H * HOUR_S for d in out.days]
    trips = question.get('trips') or []
    at_home = [False] * hours
    if trips:
        for k in range(hours):
            at = grid_s + (k + 0.5) * HOUR_S
            # after the question a trip in force goes on: the question is how long the bank would carry it
            at_home[k] = trip_at(question, at) is None and not (at > asked and out.trip is not None)
    out.loads = loads.hour_loads(question, grid=out.grid, days=names, sunsets_s=sunsets,
                                 cabin_c=[c + loads.CABIN_WARMER_C for c in out.cabin_c], at_home=at_home,
                                 volts=rig.volts, habit=loads.learned_habit(question))
    out.cutoffs = _cutoffs(question)
    tow, shore = _charges(question, out.grid)
    out.charging = [tow[k] + shore[k] > 0.0 for k in range(hours)]
    marks = _marks(question, starts_s, asked)
    out.log = _parts(out, tow, shore, starts_s, asked, marks)
    dawns = [(d.dawn_s(), 'dawn', d) for d in out.days if d.dawn_s() > asked]
    out.ahead = _parts(out, tow, shore, asked, min(names[-1][1], asked + horizon_days * 24 * HOUR_S), dawns)
    return out


def heard(laid: Course, question: dict) -> Course:
    """The same hours with the marks of another log: for a question that differs in its readings only.

    Parameters
        laid: the hours, laid out. question: as the one that they were laid out for, but for its readings.
    Returns
        A Course that shares everything with `laid` but the parts of the log.
    """
    out = Course()
    for name in Course.__slots__:
        if hasattr(laid, name):
            setattr(out, name, getattr(laid, name))
    tow, shore = _charges(question, laid.grid)
    out.log = _parts(out, tow, shore, laid.starts_s, laid.asked_s, _marks(question, laid.starts_s, laid.asked_s))
    return out


def _days(question, names, rig):
    """Day objects with sun and sky for the named days."""
    words = {}
    # of two entries for a day the later id stands, field by field: rows come in any order
    skies = [row for row in question.get('skies') or [] if names[0][0] <= row['day'] <= names[-1][0]]
    skies.sort(key=lambda row: str(row.get('id')))
    for row in skies:
        words.setdefault(row['day'], []).append(row)
    kinds = loads.day_kinds(question)
    days = []
    for d in range(len(names) - 1):
        day = Day()
        day.name, day.starts_s, day.ends_s = names[d][0], names[d][1], names[d + 1][1]
        noon_s = 0.5 * (day.starts_s + day.ends_s)
        # the place at noon; on the day of arrival the one that they reached, on the day of leaving the one they left
        day.place = (place_at(question, noon_s) or place_at(question, day.ends_s - 1.0)
                     or place_at(question, day.starts_s))
        day.kind = kinds.get(day.name)
        day.word = day.harvest_ah = None
        day.rise_s = day.set_s = None
        shade = day.place['shade'] if day.place else 0.0
        for row in words.get(day.name, ()):
            if row.get('condition') not in (None, 'unknown'):
                day.word = row['condition']
            if row.get('harvest_ah') is not None:
                day.harvest_ah = float(row['harvest_ah'])
            if row.get('shade') is not None:
                shade = row['shade']
            if day.place:
                for key in ('night_c', 'day_c'):
                    if row.get(key) is not None:
                        day.place[key] = row[key]
        if day.place:
            day.place['shade'] = shade
            events = sun.rise_set(noon_s, day.place['lat_deg'], day.place['lon_deg'])
            day.rise_s, day.set_s = events.rise_s, events.set_s
        hours = int((day.ends_s - day.starts_s) / HOUR_S + 0.5)
        day.sun_a, day.ratio, day.total_ah, day.clear_kt = [0.0] * hours, (0.0, 0.0, 0.0, 1.0), 0.0, 0.75
        day.by_source = {}
        days.append(day)
    _lay_sun(question, days, rig)
    return days


def _lay_sun(question, days, rig):
    """Clear-sky amps of every solar source, for runs of days at one place."""
    begin = 0
    while begin < len(days):
        end = begin + 1
        while end < len(days) and _same_place(days[begin].place, days[end].place):
            end += 1
        if days[begin].place:
            _lay_sun_at(question, days[begin:end], rig)
        begin = end


def _same_place(a, b):
    if a is None or b is None:
        return a is b
    for key in ('lat_deg', 'lon_deg', 'altitude_m', 'heading_deg', 'slope_deg', 'slope_toward_deg', 'sun_window',
                'sources_off'):
        if a.get(key) != b.get(key):
            return False
    return True


def _lay_sun_at(question, days, rig):
    place = days[0].place
    lat, lon, altitude = place['lat_deg'], place['lon_deg'], place['altitude_m']
    for day in days:
        day.clear_kt = sky.clear_day_kt(day_start_s=day.starts_s, lat_deg=lat, lon_deg=lon, altitude_m=altitude,
                                        month=int(day.name[5:7]))
    sums = [[0.0] * len(LEVELS) for _ in days]
    for source in question.get('sources') or []:
        if source['kind'] != 'solar' or source['id'] in (place.get('sources_off') or ()):
            continue
        azimuth = source.get('azimuth_deg')
        if azimuth is None and place.get('heading_deg') is not None:
            azimuth = place['heading_deg'] + (source.get('azimuth_from_nose_deg') or 0.0)
        tilt = source.get('tilt_deg') or 0.0
        if azimuth is None and tilt == 0.0:
            azimuth = 0.0                       # a flat panel faces nowhere
        if azimuth is not None and place.get('slope_deg') and place.get('slope_toward_deg') is not None:
            lies = plane.on_slope(tilt_deg=tilt, azimuth_deg=azimuth, slope_deg=place['slope_deg'],
                                  slope_toward_deg=place['slope_toward_deg'])
            tilt, azimuth = lies.tilt_deg, lies.azimuth_deg
        rows = panel.harvest_days(
            day_starts_s=[d.starts_s for d in days], air_c=[_air(d, len(d.sun_a)) for d in days], lat_deg=lat,
            lon_deg=lon, altitude_m=altitude, tilt_deg=tilt, azimuth_deg=azimuth,
            panel_w=source['panel_w'], controller=source.get('controller') or 'mppt', max_a=source.get('max_a'),
            nominal_v=rig.nominal_v, levels=LEVELS, sun_window_s=_window_s(place))
        for d in range(len(days)):
            open_sky = 1.0 - days[d].place['shade']
            mine = 0.0
            hours = len(days[d].sun_a)
            for h in range(min(hours, len(rows[d]))):
                amps = rows[d][h]
                days[d].sun_a[h] += amps[-1] * open_sky
                mine += amps[-1] * open_sky
                for j in range(len(LEVELS)):
                    sums[d][j] += amps[j] * open_sky
            days[d].by_source[source['id']] = days[d].by_source.get(source['id'], 0.0) + mine
    for d in range(len(days)):
        days[d].total_ah = sums[d][-1]
        if sums[d][-1] > 0.0:
            days[d].ratio = tuple(s / sums[d][-1] for s in sums[d])


def _air(day, hours):
    """Air temperature of each hour of a day. [C]"""
    return air.day_hours(day_place=day.place, day_start_s=day.starts_s, rise_s=day.rise_s, month=int(day.name[5:7]),
                         hours=hours)


def _window_s(place):
    """The stop's sun window in seconds after midnight, or None."""
    window = place.get('sun_window')
    if not window:
        return None
    return tuple(3600.0 * int(text[:2]) + 60.0 * int(text[3:5]) for text in window)


def _temperatures(days, grid_s, hours, lives):
    """Air and bank temperature for each hour. The bank lags the air: it stands at the day's mean, warmed by where
    it lives. [C]"""
    out, bank = [], []
    for day in days:
        n = len(day.sun_a)
        temps = _air(day, n)
        day.mean_c = sum(temps) / n
        if lives == 'inside':
            day.mean_c += BANK_INSIDE_WARMER_C
        elif lives == 'heated':
            day.mean_c = max(day.mean_c, BANK_HEATED_C)
        out.extend(temps)
        bank.extend([day.mean_c] * n)
    while len(out) < hours:
        out.append(out[-1])
        bank.append(bank[-1])
    return out, bank


def _cutoffs(question):
    """[(circuit, cut-off volts)] of the appliances that stop themselves."""
    found = [(c, float(c['cutoff_v'])) for c in question['circuits'] if c.get('cutoff_v') is not None]
    output_v = loads.controller_limit(question, 'output_cutoff_v')
    if output_v is not None:
        # the controller looks at its own terminals: the wire behind them does not count
        found += [({'id': c['id']}, output_v) for c in question['circuits']
                  if c.get('feed') == 'controller_output' and c.get('cutoff_v') is None]
    inverters = question.get('inverters') or []
    if inverters and inverters[0].get('cutoff_v') is not None:
        found += [(c, float(inverters[0]['cutoff_v'])) for c in question['circuits']
                  if c.get('through_inverter') and c.get('cutoff_v') is None]
    found.sort(key=lambda pair: str(pair[0]['id']))     # of two that stop at once the first by id is told
    return found


def _charges(question, grid):
    """Rated amps of tow-vehicle and shore charging for each hour."""
    start_s, hours = grid
    tow, shore = [0.0] * hours, [0.0] * hours
    kinds = {}
    for source in question.get('sources') or []:
        kinds[source['id']] = source
    for charge in question.get('charges') or []:
        source = kinds.get(charge['source_id'])
        if source is None or source['kind'] == 'solar':
            continue
        share = [0.0] * hours
        loads._fill(share, start_s, hours, charge['starts_at'], charge['starts_at'] + charge['hours'] * HOUR_S, 1.0)
        into = tow if source['kind'] == 'alternator' else shore
        for k in range(hours):
            into[k] += share[k] * (source.get('max_a') or 10.0)
    return tow, shore


def sun_at(course, k: int) -> float:
    """Clear-sky amps in hour k of the grid. [A]"""
    at = course.grid[0] + (k + 0.5) * HOUR_S
    for day in course.days:
        if day.starts_s <= at < day.ends_s:
            h = int((at - day.starts_s) // HOUR_S)
            return day.sun_a[h] if h < len(day.sun_a) else 0.0
    return 0.0


def _marks(question, starts_s, asked_s):
    """(time, kind, record) of everything in the log that says something about the bank, in time order."""
    marks = []
    for reading in question.get('readings') or []:
        marks.append((reading['at'], 'reading', reading))
    for event in question.get('events') or []:
        if event['kind'] in ('cut_out', 'flat', 'jump_start'):
            at = 0.5 * (event['between'][0] + event['between'][1]) if event.get('at') is None else event['at']
            marks.append((at, 'event', event))
    # equal times are settled by kind and id, so that the order of rows in a file never matters
    marks.sort(key=lambda m: (m[0], m[1], str(m[2].get('id')), str(m[2].get('volts')), str(m[2].get('state')),
                              str(m[2].get('gauge_id'))))
    return [m for m in marks if starts_s <= m[0] <= asked_s]


def _parts(course, tow, shore, begin_s, end_s, marks):
    """Cut [begin_s, end_s] at local midnights and marks, and make the rows of each piece."""
    parts = []
    at, m = begin_s, 0
    for day in course.days:
        while at < min(day.ends_s, end_s) or (m < len(marks) and marks[m][0] <= at and at < day.ends_s):
            stop = min(day.ends_s, end_s)
            if m < len(marks) and marks[m][0] < stop:
                stop = max(at, marks[m][0])
            part = Part()
            part.day, part.begin_s, part.end_s, part.marks = day, at, stop, []
            part.rows = _rows(course, tow, shore, day, at, stop)
            while m < len(marks) and marks[m][0] <= stop:
                part.marks.append(marks[m])
                m += 1
            parts.append(part)
            at = stop
        if at >= end_s and m >= len(marks):
            break
    return parts


def _rows(course, tow, shore, day, begin_s, end_s):
    """Rows of one piece of a day; sunless hours are merged into longer ones."""
    grid_s, hours = course.grid
    groups = course.loads.groups
    rows = []
    pending = None
    at = begin_s
    while at < end_s - 1e-6:
        k = int((at - grid_s + 1e-6) // HOUR_S)
        if k >= hours:
            break
        stop = min(end_s, grid_s + (k + 1) * HOUR_S)
        h = int((at - day.starts_s + 1e-6) // HOUR_S)
        amps = day.sun_a[h] if h < len(day.sun_a) else 0.0
        dt = (stop - at) / HOUR_S
        row = (dt, amps, groups[0][k], groups[1][k], groups[2][k], groups[3][k], course.loads.power_share[k], tow[k],
               shore[k], _live_cutoffs(course, k))
        if amps <= 0.0 and not tow[k] and not shore[k]:
            if pending is not None and pending[0] + dt <= NIGHT_STEP_H + 1e-6:
                pending = _joined(pending, row)
            else:
                if pending is not None:
                    rows.append(pending)
                pending = row
        else:
            if pending is not None:
                rows.append(pending)
                pending = None
            rows.append(row)
        at = stop
    if pending is not None:
        rows.append(pending)
    return rows


def _live_cutoffs(course, k):
    """Which cut-offs could act in hour k: those whose circuit draws then."""
    live = ()
    for j in range(len(course.cutoffs)):
        if course.loads.circuits[course.cutoffs[j][0]['id']][k] > 0.0:
            live += (j,)
    return live


def _joined(a, b):
    """Two sunless rows as one: hours add, amps are averaged, the power share by amps."""
    dt = a[0] + b[0]
    mean = [(a[j] * a[0] + b[j] * b[0]) / dt for j in range(2, 6)]
    amps_a, amps_b = a[2] + a[3] + a[4] + a[5], b[2] + b[3] + b[4] + b[5]
    ah = amps_a * a[0] + amps_b * b[0]
    power = (a[6] * amps_a * a[0] + b[6] * amps_b * b[0]) / ah if ah > 0.0 else 0.0
    live = a[9] if a[9] == b[9] else tuple(sorted(set(a[9] + b[9])))
    return (dt, 0.0, mean[0], mean[1], mean[2], mean[3], power, 0.0, 0.0, live)
