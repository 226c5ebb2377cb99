"""What holds on every page: keys, sizes, text of double size, looks, safe mode, errors, and no request elsewhere."""

from browser.conftest import open_demo, rows, wait_for_final

ROUTES = ["tonight", "logbook", "last", "checks", "rig", "reading", "ran", "charge", "event"]


def go(page, route):
    page.goto(page.url.split("#")[0] + f"#/{route}")
    page.wait_for_selector(f".page-{route} h1")


def test_no_page_is_wider_than_the_phone_nor_with_text_of_double_size(demo):
    for width, size in ((320, 100), (412, 100), (412, 200)):
        demo.set_viewport_size({"width": width, "height": 640})
        for route in ROUTES:
            go(demo, route)
            demo.evaluate(OPEN_ALL)
            demo.evaluate(f"document.documentElement.style.fontSize = '{size}%'")
            assert demo.evaluate("document.documentElement.scrollWidth") <= width, (route, size)


# What is opened fills itself in a task of its own.
OPEN_ALL = """() => {
    document.querySelectorAll('details').forEach((part) => { part.open = true; });
    return new Promise((resolve) => { setTimeout(resolve, 100); });
}"""
SMALL = """() => Array.from(document.querySelectorAll(
        'button, .primary, .chip, .tabs a, .rows a, input[type=text], summary, .small, .back'))
    .filter((element) => element.offsetParent)
    .map((element) => [element.textContent.trim(), element.getBoundingClientRect()])
    .filter(([, box]) => box.height < 48 || box.width < 48)
    .map(([text, box]) => `${text}: ${box.width} x ${box.height}`)"""


def test_every_control_is_large_enough_for_cold_fingers(demo):
    for route in ROUTES:
        go(demo, route)
        demo.evaluate(OPEN_ALL)
        assert demo.evaluate(SMALL) == [], route


def test_the_primary_action_stands_in_the_lower_third(demo):
    for route in ("tonight", "reading"):
        go(demo, route)
        top = demo.evaluate("document.querySelector('.action-bar .primary').getBoundingClientRect().top")
        assert top > 839 * 2 / 3, route


def test_a_reading_is_saved_with_the_keyboard_alone(demo):
    known = len([row for row in rows(demo) if row["tbl"] == "reading"])
    go(demo, "reading")
    assert demo.evaluate("document.activeElement.name") == "volts"
    demo.keyboard.type("12.4")
    demo.keyboard.press("Tab")
    demo.keyboard.press("Space")  # the first of the fridge's three answers
    assert demo.is_checked("[name=fridge][value=humming]")
    demo.keyboard.press("ArrowRight")
    assert demo.is_checked("[name=fridge][value=silent]")
    demo.keyboard.press("Enter")
    demo.get_by_text("Saved on this phone: 12.40 V").wait_for()
    assert len([row for row in rows(demo) if row["tbl"] == "reading"]) == known + 1


def test_every_field_and_button_has_a_name(demo):
    for route in ROUTES:
        go(demo, route)
        unnamed = demo.evaluate("""() => Array.from(document.querySelectorAll('a, button, input, select, textarea'))
            .filter((element) => !(element.textContent.trim() || element.getAttribute('aria-label')
                || (element.labels && element.labels[0] && element.labels[0].textContent.trim())))
            .map((element) => element.outerHTML)""")
        assert unnamed == [], route


def test_the_drawn_strip_and_the_table_of_dawns_tell_the_same_story(demo):
    wait_for_final(demo)
    demo.get_by_text("Charge at each dawn").click()
    demo.locator(".dawns-figure").first.wait_for()
    kinds = demo.evaluate("Array.from(document.querySelectorAll('.strip-dawn'), (dawn) => dawn.classList[1].slice(11))")
    figures = [[int(share) for share in text[:-2].split("–")] for text in demo.locator(".dawns-figure").all_inner_texts()]
    floor = answer_floor(demo)
    told = ["above" if low > floor else "below" if high < floor else "maybe" for low, high in figures]
    # a figure that is rounded onto the floor may lie on either side of it
    clear = [i for i, (low, high) in enumerate(figures) if floor not in (low, high)]
    assert len(told) == 7 and len(clear) > 3
    assert [kinds[i] for i in clear] == [told[i] for i in clear]


def answer_floor(page):
    return 100 * next(row["fields"]["floor_soc"] for row in rows(page) if row["tbl"] == "bank")


# Contrast as WCAG 2.2 defines it: (lighter + 0.05) / (darker + 0.05) of relative luminances.
CONTRAST = """([text, ground]) => {
    const look = getComputedStyle(document.documentElement);
    const linear = (hex) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16) / 255)
        .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    const luminance = (name) => {
        const [red, green, blue] = linear(look.getPropertyValue(name).trim());
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    };
    const [high, low] = [luminance(text), luminance(ground)].sort((a, b) => b - a);
    return (high + 0.05) / (low + 0.05);
}"""
PAIRS = [
    ("--color-text", "--color-ground", 7), ("--color-text", "--color-raised", 7),
    ("--color-text", "--color-picked", 4.5), ("--color-text-quiet", "--color-ground", 4.5),
    ("--color-action-text", "--color-action", 4.5), ("--color-caution", "--color-caution-ground", 4.5),
    ("--color-problem", "--color-ground", 4.5), ("--color-line", "--color-raised", 3),
    ("--color-floor", "--color-ground", 3), ("--color-sun", "--color-ground", 3), ("--color-band", "--color-ground", 3),
]


def test_text_and_controls_stand_out_in_each_look(demo):
    go(demo, "rig")
    for look in ("day", "dark", "night"):
        demo.locator(f"label.chip:has([name=look][value={look}])").click()
        assert demo.evaluate("document.documentElement.dataset.look") == look
        faint = [(text, ground, least) for text, ground, least in PAIRS
                 if demo.evaluate(CONTRAST, [text, ground]) < least]
        assert faint == [], look


def test_the_night_look_shows_no_white_and_no_blue(demo):
    go(demo, "rig")
    demo.locator("label.chip:has([name=look][value=night])").click()
    colours = demo.evaluate("""() => {
        const look = getComputedStyle(document.documentElement);
        return Array.from(document.styleSheets).flatMap((sheet) => Array.from(sheet.cssRules))
            .flatMap((rule) => Array.from(rule.style || [])).filter((name) => name.startsWith('--color'))
            .map((name) => look.getPropertyValue(name).trim());
    }""")
    assert len(colours) > 10
    for colour in colours:
        red, green, blue = (int(colour[i:i + 2], 16) for i in (1, 3, 5))
        assert blue <= 0.55 * red and green <= 0.6 * red, colour


def test_the_chosen_look_is_there_after_reopening_and_nothing_was_asked_of_another_origin(phone_at, server):
    phone = phone_at(server.url)
    page = phone.open()
    open_demo(page)
    for route in ROUTES:
        go(page, route)
    go(page, "rig")
    page.locator("label.chip:has([name=look][value=night])").click()
    page.wait_for_timeout(200)
    phone.close()
    assert phone.open().evaluate("document.documentElement.dataset.look") == "night"
    elsewhere = [url for url in phone.requests if not url.startswith((server.url, "blob:", "data:"))]
    assert len(phone.requests) > 40 and elsewhere == []


def test_safe_mode_hands_out_what_the_app_stored(demo, server):
    page = demo
    page.goto(server.url + "safe.html")
    with page.expect_download() as download:
        page.get_by_role("button", name="Save a copy of everything").click()
    assert '"tbl": "reading"' in open(download.value.path()).read()


SPOIL_THE_BANK = """async () => {
    const done = (request) => new Promise((resolve) => { request.onsuccess = () => resolve(request.result); });
    const base = await done(indexedDB.open('daybank'));
    const rows = base.transaction('rows', 'readwrite').objectStore('rows');
    const bank = (await done(rows.getAll())).find((row) => row.tbl === 'bank');
    bank.fields.chemistry = 'potato';
    await done(rows.put(bank));
    base.close();
}"""


def test_a_model_that_fails_leaves_the_last_answer_with_a_clear_message(demo):
    wait_for_final(demo)
    headline = demo.inner_text("h1")
    demo.evaluate(SPOIL_THE_BANK)
    demo.reload()
    demo.wait_for_selector("html[data-answer=error]")
    status = demo.inner_text(".status")
    assert "The newest answer could not be worked out, so the one of Tuesday 8 July, 20:10 is shown" in status
    assert demo.inner_text("h1") == headline
    assert demo.get_by_role("button", name="Try again").is_visible()


REFUSE_CHANGES = """() => {
    const add = IDBObjectStore.prototype.add;
    IDBObjectStore.prototype.add = function (...args) {
        if (this.name === 'ops') throw new DOMException('full', 'QuotaExceededError');
        return add.apply(this, args);
    };
}"""


def test_storage_that_refuses_keeps_the_form_filled_and_says_so(demo):
    go(demo, "reading")
    demo.fill("[name=volts]", "12.4")
    demo.evaluate(REFUSE_CHANGES)
    before = len(rows(demo))
    demo.get_by_role("button", name="Save", exact=True).click()
    demo.get_by_text("It could not be saved on this phone (QuotaExceededError).").wait_for()
    assert demo.input_value("[name=volts]") == "12.4"
    assert len(rows(demo)) == before


def test_a_database_that_was_closed_under_the_app_is_opened_again(demo):
    """Some systems close it while the app is in the background; the handle is of no use after that."""
    go(demo, "reading")
    demo.evaluate("""() => {
        const begin = IDBDatabase.prototype.transaction;
        let dead = null;
        IDBDatabase.prototype.transaction = function (...args) {
            dead = dead || this;
            if (this === dead) throw new DOMException('closed', 'InvalidStateError');
            return begin.apply(this, args);
        };
    }""")
    demo.fill("[name=volts]", "12.4")
    demo.get_by_role("button", name="Save", exact=True).click()
    demo.get_by_text("Saved on this phone: 12.40 V").wait_for()


WATCH_LONG_TASKS = """() => {
    window.longestMs = 0;
    new PerformanceObserver((list) => {
        for (const entry of list.getEntries()) window.longestMs = Math.max(window.longestMs, entry.duration);
    }).observe({ type: 'longtask' });
}"""


def test_the_page_leaves_the_sums_to_the_worker(demo, record_property):
    """Counts work, not time: one worker, no interpreter in the page. The longest task is only reported."""
    demo.evaluate(WATCH_LONG_TASKS)
    go(demo, "reading")
    demo.fill("[name=volts]", "12.4")
    demo.get_by_role("button", name="Save", exact=True).click()
    demo.get_by_text("Saved on this phone").wait_for()
    wait_for_final(demo)
    record_property("longest_page_task_ms", demo.evaluate("window.longestMs"))
    assert len(demo.workers) == 1
    assert demo.evaluate("typeof globalThis.loadMicroPython") == "undefined"


def test_every_module_of_the_page_is_announced_so_that_none_waits_for_another(demo):
    announced = demo.evaluate("Array.from(document.querySelectorAll('link[rel=modulepreload]'), (link) => link.href)")
    used = demo.evaluate("""() => performance.getEntriesByType('resource').map((entry) => entry.name)
        .filter((name) => /\\.js$/.test(name) && !/energy-worker|start-guard|question/.test(name))""")
    assert len(announced) == len(set(announced)) > 20
    assert set(used) == set(announced)


def test_the_range_is_spoken_once_it_is_final_and_the_focus_stays_where_it_was(demo):
    wait_for_final(demo)
    assert demo.text_content("#spoken").startswith(demo.text_content("h1"))
    assert demo.get_attribute("#spoken", "aria-live") == "polite"
    demo.get_by_role("button", name="rain", exact=True).focus()
    demo.keyboard.press("Enter")
    demo.locator("[data-value=rain][aria-pressed=true]").wait_for()
    wait_for_final(demo)
    assert demo.evaluate("document.activeElement.dataset.value") == "rain"
