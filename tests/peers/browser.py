"""A morning in the cooperative's room in headless Chromium, by PyPI selenium: from signing in to a workbook opened again by PyPI openpyxl; then every
page of the route table in light and dark under npm axe-core, and a picture of each at 1280 and 360 px. Told by one JSON object on standard input; says
by lines what it did. Ends with 1 where something is not as it should be."""

import base64
import json
import pathlib
import re
import sys
import urllib.request

import openpyxl
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import Select, WebDriverWait

TOLD = json.load(sys.stdin)
URL, OUT = TOLD["url"], pathlib.Path(TOLD["out"])
AXE = pathlib.Path(TOLD["axe"]).read_text(encoding="utf-8")
PATIENCE = 30
# Streams and files are no pages; a choice of language leads back to where it was made.
NO_PAGES = {"/console", "/console/lang/{}", "/console/live", "/console/export/file"}
WIDTHS = (1280, 360)
faults = []


def say(text):
    print(text, flush=True)


def must(right, text):
    if not right:
        faults.append(text)
        say(f"FAULT {text}")


def start():
    options = webdriver.ChromeOptions()
    for word in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--hide-scrollbars", "--lang=en"):
        options.add_argument(word)
    downloads = {"download.default_directory": str(OUT), "intl.accept_languages": "en"}
    options.add_experimental_option("prefs", downloads)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(TOLD["driver"]))
    driver.set_page_load_timeout(PATIENCE)
    return driver


driver = start()
wait = WebDriverWait(driver, PATIENCE)


def one(selector, inside=None):
    return (inside or driver).find_element(By.CSS_SELECTOR, selector)


def every(selector):
    return driver.find_elements(By.CSS_SELECTOR, selector)


def go(path):
    driver.get(URL + path)


def pressed(button):
    """Presses, and waits for the page that follows."""
    body = one("html")
    button.click()
    wait.until(lambda _: gone(body))
    wait.until(lambda d: d.execute_script("return document.readyState") == "complete")


def gone(element):
    try:
        element.is_enabled()
        return False
    except Exception:
        return True


def text_in(sender, text):
    body = json.dumps({"from": sender, "text": text}).encode()
    request = urllib.request.Request(
        f"{URL}/in/{TOLD['link']}",
        body,
        {"Authorization": f"Bearer {TOLD['secret']}", "Content-Type": "application/json"},
    )
    with urllib.request.urlopen(request, timeout=PATIENCE) as answer:
        return json.load(answer)


def sign_in():
    go("/console")
    must(driver.current_url.endswith("/console/sign-in"), "a stranger is sent to sign in")
    one("[name=user]").send_keys(TOLD["user"])
    one("[name=password]").send_keys(TOLD["password"])
    pressed(one("main form button"))
    must(driver.current_url.endswith("/console/today"), "signing in leads to today")
    say("signed in")


def find_the_failing_farm():
    first = one(".needs > li")
    must(first.find_elements(By.CSS_SELECTOR, ".grams b"), "what is at stake stands beside the farm")
    name = one("h3 a", first).text
    pressed(one("h3 a", first))
    must(name in one("h1").text, f"{name} leads to its own page")
    must(every("svg rect.bar") and every("svg .band"), "lanes show what was expected and taken")
    must(every("main .trouble"), "the farm's page says why")
    say(f"found {name}")
    return name.split()[-1]


def answer_an_unreadable_message():
    said = text_in(TOLD["sender"], "qqwx zzkv pplm")
    must(said["outcome"] == "unreadable", f"nobody can read it: {said}")
    go("/console/unreadable")
    row = next(row for row in every(".needs > li") if "qqwx zzkv pplm" in row.text)
    one("[name=line]", row).send_keys("C1 water")
    pressed(one("form button", row))
    must("C1 water" in one(".done .said").text, "it is recorded as if sent")
    left = [row.text for row in every(".needs > li")]
    must(not any("qqwx zzkv pplm" in text for text in left), "and waits no more")
    say("answered an unreadable message")


def export_and_reopen():
    go("/console/export")
    must(every("tfoot td"), "a month by ward with its sum")
    Select(one("[name=sheet]")).select_by_value("harvests")
    Select(one("[name=form]")).select_by_value("xlsx")
    one("form[action$=file] button").click()
    file = OUT / "harvests.xlsx"
    wait.until(lambda _: file.exists())
    sheet = openpyxl.load_workbook(file)["harvests"]
    head, first = (list(row) for row in sheet.iter_rows(max_row=2))
    must([cell.value for cell in head] == TOLD["columns"], "the columns are the sheet's")
    must(first[0].data_type == "n" and first[2].is_date and first[3].data_type == "n", "numbers and days are typed")
    must(sheet.max_row > 500, f"{sheet.max_row} rows")
    say(f"exported {sheet.max_row - 1} harvests and opened them again")


def live():
    """A page that stands open loads anew by itself."""
    go("/console/today")
    mark = one("[data-mark]").get_attribute("data-mark")
    text_in(TOLD["sender"], "C1 bait")
    wait.until(lambda _: every("[data-mark]") and one("[data-mark]").get_attribute("data-mark") != mark)
    must("live=1" in driver.current_url, "by the script, which keeps nobody signed in")
    say("a page loaded anew by itself")


def without_script(number):
    driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    go("/console/farms")
    one("[name=q]").send_keys(number)
    pressed_plainly(one("form[role=search] button"))
    must(len(every("tbody tr")) == 1, "a farm is found without script")
    driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    say("found a farm without script")


def pressed_plainly(button):
    before = driver.current_url
    button.click()
    wait.until(lambda d: d.current_url != before)


def is_page(path):
    """Whether an address gives a page, looked at by the page that is open."""
    script = "const done = arguments[1]; fetch(arguments[0]).then(r => done(r.headers.get('content-type')), () => done(''))"
    return (driver.execute_async_script(script, path) or "").startswith("text/html")


def pages():
    """Every page of the table: those with places in their path by the links that lead there, as a person comes upon them."""
    wanted = [path for path in TOLD["routes"] if path not in NO_PAGES]
    found = {path: path for path in wanted if "{}" not in path and path != "/console/sign-in"}
    looked_at = set()
    while todo := [path for path in found.values() if path not in looked_at]:
        for path in todo:
            looked_at.add(path)
            if not is_page(path):
                del found[next(known for known, at in found.items() if at == path)]
                continue
            go(path)
            links = driver.execute_script("return [...document.querySelectorAll('a[href]')].map(a => a.pathname + a.search)")
            for pattern in (p for p in wanted if p not in found and "{}" in p):
                shape = re.compile(re.escape(pattern).replace(r"\{\}", "[^/?]+") + r"(\?.*)?$")
                hit = next((link for link in links if shape.match(link)), None)
                if hit:
                    found[pattern] = hit
    missing = [path for path in wanted if "{}" in path and path not in found]
    must(not missing, f"no link leads to {missing}")
    return found


def look(name, path):
    for scheme in ("light", "dark"):
        driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": scheme}]})
        for width in WIDTHS:
            size = {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 600}
            driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
            go(path)
            wide = driver.execute_script("return document.documentElement.scrollWidth")
            must(wide <= width, f"{path} is {wide} px wide at {width}")
            shot = driver.execute_cdp_cmd("Page.captureScreenshot", {"format": "png", "captureBeyondViewport": True})
            (OUT / f"{name}-{width}-{scheme}.png").write_bytes(base64.b64decode(shot["data"]))
            judge(path, scheme, width)
    bytes_sent = driver.execute_script("return performance.getEntriesByType('navigation')[0].decodedBodySize")
    must(bytes_sent < 100_000, f"{path} has {bytes_sent} bytes")


def judge(path, scheme, width):
    driver.execute_script(AXE)
    run = "const done = arguments[0]; axe.run(document, {resultTypes: ['violations']}).then(r => done(r.violations), e => done([{id: String(e), impact: 'critical', nodes: []}]))"
    for violation in driver.execute_async_script(run):
        where = [node["target"] for node in violation["nodes"]][:3]
        line = f"{path} {scheme} {width}: {violation['impact']} {violation['id']} at {where}"
        if violation["impact"] in ("serious", "critical"):
            must(False, line)
        else:
            say(f"note {line}")


def quiet_console():
    for entry in driver.get_log("browser"):
        if entry["level"] == "SEVERE" and "favicon" not in entry["message"]:
            must(False, f"the browser complains: {entry['message']}")


def walk():
    found = pages()
    quiet_console()
    for pattern, path in sorted(found.items()):
        name = pattern.removeprefix("/console/").replace("/{}", "-one").replace("/", "-")
        look(name, path)
    say(f"looked at {len(found)} pages")
    driver.execute_cdp_cmd("Network.clearBrowserCookies", {})
    look("sign-in", "/console/sign-in")


try:
    OUT.mkdir(parents=True, exist_ok=True)
    for old in OUT.iterdir():
        old.unlink()
    sign_in()
    number = find_the_failing_farm()
    answer_an_unreadable_message()
    export_and_reopen()
    live()
    without_script(number)
    walk()
finally:
    driver.quit()
say(f"{len(faults)} faults")
sys.exit(1 if faults else 0)
