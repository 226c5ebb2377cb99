"""A phone that answers exports: the page's own question.js and the app's own worker, in a real browser."""

import pytest

from browser.conftest import Server

ANSWERS_WITHIN_S = 120
ASK = """async ([questions, worker, exported, members]) => {
    const { questionFromExport } = await import(questions);
    const question = questionFromExport(exported);
    const model = window.model ??= new Worker(worker, { type: 'module' });
    const id = window.asked = (window.asked ?? 0) + 1;
    const replies = {};
    await new Promise((resolve) => {
        model.onerror = (event) => { replies.error = `the worker broke: ${event.message}`; resolve(); };
        model.onmessage = ({ data }) => {
            if (data.id !== id) return;
            if (data.error) replies.error = data.error; else replies[data.stage] = data;
            if (data.error || data.stage === 'final') resolve();
        };
        model.postMessage({ id, exported, asked_at: question.asked_at, members });
    });
    return { question, error: replies.error ?? null, answers: [replies.first?.answer, replies.final?.answer],
             ms: [replies.first?.ms, replies.final?.ms] };
}"""


def pytest_addoption(parser):
    parser.addoption("--all-stories", action="store_true", default=False,
                     help="compare the two interpreters on every story of the trial, not on a spread of them")


@pytest.fixture(scope="session")
def phone(chromium):
    """Calls with an export and two sizes of ensemble: the question and the two answers that a phone comes to."""
    server = Server()
    server.start()
    context = chromium.new_context(service_workers="block")
    page = context.new_page()
    page.set_default_timeout(ANSWERS_WITHIN_S * 1000)
    page.goto(server.url + "safe.html")
    addresses = [server.address(f"js/{name}.js") for name in ("question", "energy-worker")]
    yield lambda exported, members: page.evaluate(ASK, [*addresses, exported, list(members)])
    context.close()
    server.stop()
