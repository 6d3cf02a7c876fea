# by_browser.py PAGE FOLDER [PICTURES]: opens a preview in headless Chromium, uses it as a person does, and writes
# the answers it gives as files. Says what it saw; ends with 1 at the first thing that is not as it must be.
import json
import pathlib
import sys
import time

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

page = pathlib.Path(sys.argv[1]).resolve().as_uri()
folder = pathlib.Path(sys.argv[2])
pictures = pathlib.Path(sys.argv[3]) if len(sys.argv) > 3 else None
if pictures:
    pictures.mkdir(parents=True, exist_ok=True)


def must(what, good, told=""):
    if not good:
        print("FAILED:", what, told)
        sys.exit(1)


def browser(width, height, telephone):
    options = Options()
    for word in ["--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--hide-scrollbars",
                 # software only: the same picture on every machine
                 "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
                 # nothing of the browser's own, and whatever the page asked for would end here
                 "--disable-background-networking", "--disable-component-update", "--no-first-run",
                 "--proxy-server=127.0.0.1:9", "--window-size=%d,%d" % (width, height)]:
        options.add_argument(word)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    if telephone:
        options.add_experimental_option("mobileEmulation", {
            "deviceMetrics": {"width": width, "height": height, "pixelRatio": 2.0, "touch": True}})
    made = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)
    made.set_page_load_timeout(120)
    made.set_script_timeout(120)
    return made


def drawn(seen):
    """A number that differs when the picture does."""
    return seen.execute_script("""
        const view = archwright.view, gl = view.gl;
        view.drawNow();
        const [w, h] = [view.canvas.width, view.canvas.height], bytes = new Uint8Array(4 * w * h);
        gl.readPixels(0, 0, w, h, gl.RGBA, gl.UNSIGNED_BYTE, bytes);
        let hash = 0, painted = 0;
        for (let i = 0; i < bytes.length; i += 4) {
          hash = (Math.imul(hash, 31) + bytes[i] * 65536 + bytes[i + 1] * 256 + bytes[i + 2]) | 0;
          if (Math.abs(bytes[i] - 251) + Math.abs(bytes[i + 1] - 251) > 6) ++painted;
        }
        return [hash, painted / (w * h)];""")


def wait(seen, what, script, *words):
    until = time.time() + 60
    while not seen.execute_script(script, *words):
        must(what, time.time() < until, "(waited for a minute)")
        time.sleep(0.05)


def press(seen, selector):
    seen.execute_script("document.querySelector(arguments[0]).click()", selector)


def picture(seen, name):
    if pictures:
        time.sleep(0.3)
        seen.save_screenshot(str(pictures / (name + ".png")))


def try_at(name, width, height, telephone):
    seen = browser(width, height, telephone)
    try:
        use(seen, name, telephone)
    finally:
        seen.quit()


def use(seen, name, telephone):
    seen.get(page)  # once for the browser itself to wake
    wait(seen, "the picture is there", "return Boolean(window.archwright && archwright.view)")
    seen.get_log("performance")
    begun = time.time()
    seen.get(page)
    wait(seen, "the picture is there", "return Boolean(window.archwright && archwright.view)")
    with_picture = time.time() - begun
    times = seen.execute_script("return performance.getEntriesByType('navigation')[0].toJSON()")
    print("%s: words after %.2f s, picture after %.2f s (no limit is asserted; docs/preview.md)" %
          (name, times["loadEventEnd"] / 1000, with_picture))
    picture(seen, name + "-first")

    # every way of looking at it makes another picture, and each shows the shell
    seen_before = {}

    def another(what):
        now, share = drawn(seen)
        must(what + " changes the picture", now not in seen_before, "as: " + str(seen_before.get(now)))
        must(what + " shows the shell", share > 0.02, str(share))
        seen_before[now] = what

    another("the beginning")
    canvas = seen.find_element(By.ID, "space")
    if telephone:
        def touch(kind, *points):
            seen.execute_cdp_cmd("Input.dispatchTouchEvent", {
                "type": kind, "touchPoints": [{"x": x, "y": y, "id": k} for k, (x, y) in enumerate(points)]})
        box = seen.execute_script("const b = arguments[0].getBoundingClientRect(); return [b.left, b.top, b.width, b.height]", canvas)
        x, y = box[0] + box[2] / 2, box[1] + box[3] / 2
        touch("touchStart", (x, y))
        touch("touchMove", (x + 20, y))
        touch("touchMove", (x + 70, y + 20))
        touch("touchEnd")
        another("a finger")
        touch("touchStart", (x - 20, y), (x + 20, y))
        touch("touchMove", (x - 30, y), (x + 30, y))
        touch("touchMove", (x - 50, y), (x + 50, y))
        touch("touchEnd")
        must("two fingers zoom", seen.execute_script("return archwright.view.zoom") > 1.2)
        another("two fingers")
    else:
        ActionChains(seen).move_to_element(canvas).click_and_hold().move_by_offset(60, 20).release().perform()
        another("the mouse")
        canvas.send_keys(Keys.ARROW_LEFT)
        another("an arrow key")
        canvas.send_keys("+")
        another("the key +")
        seen.execute_script("arguments[0].dispatchEvent(new WheelEvent('wheel', {deltaY: -240, clientX: 300, clientY: 300, cancelable: true}))", canvas)
        another("the wheel")
    for view in ["above", "below", "medial", "lateral", "heel"]:
        press(seen, "[data-view=%s]" % view)
        another("the view " + view)
    press(seen, "[data-view=above]")
    for cast in ["none", "solid"]:
        press(seen, "[data-cast=%s]" % cast)
        another("the cast " + cast)
    for paint, title in [("wall", "Wall, mm"), ("distance", "To cast, mm")]:
        press(seen, "[data-paint=%s]" % paint)
        another("the colours " + paint)
        legend = seen.find_element(By.ID, "legend").text.split("\n")
        must("the scale has its title", legend[0] == title, str(legend))
        must("the scale has figures", len(legend) >= 4, str(legend))
        picture(seen, name + "-" + paint)
    values = seen.execute_script("""
        const [x, y] = archwright.view.onPage([60, 0, 0]), at = archwright.view.pick(x, y);
        return [at.wall, at.distance, at.group, at.place]""")
    must("the wall can be read from the shell", 0.5 < values[0] < 8, str(values))
    must("the distance can be read", abs(values[1]) < 12 and values[2] == 0, str(values))

    slider = "const s = document.getElementById('cut-at'); s.value = arguments[0]; s.dispatchEvent(new Event('input'))"
    for cut in ["frontal", "sagittal", "level"]:
        press(seen, "[data-cut=%s]" % cut)
        seen.execute_script(slider, 450)
        another("the section " + cut)
        flat = "archwright.view.drawNow(); return document.getElementById('cut-drawing').toDataURL()"
        first, where = seen.execute_script(flat), seen.find_element(By.ID, "cut-told").text
        seen.execute_script(slider, 600)
        another("the slider of the section " + cut)
        must("the section's drawing follows", seen.execute_script(flat) != first)
        must("its place follows", seen.find_element(By.ID, "cut-told").text != where)
        picture(seen, name + "-" + cut)
    # of a closed shell every line of a section is closed, wherever it is cut
    open_lines = seen.execute_script("""
        let open = 0, lines = 0;
        for (const kind of ["frontal", "sagittal", "level"])
          for (let k = 1; k < 40; ++k)
            for (const line of linesIn(archwright.view.shell, planeOf(kind, k / 40, archwright.view))) {
              ++lines;
              const [a, b] = [line[0], line[line.length - 1]];
              if (Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]) > 1e-6) ++open;
            }
        return [open, lines]""")
    must("sections of the shell are closed", open_lines[0] == 0 and open_lines[1] > 100, str(open_lines))
    press(seen, "[data-cut=none]")

    # the answer
    def reply():
        return seen.find_element(By.ID, "reply").get_attribute("value")

    must("no text before there is an answer", reply() == "")
    by = seen.find_element(By.ID, "by")
    press(seen, "[name=answer][value=accepted]")
    must("no text without a code", reply() == "")
    by.send_keys("P-12")
    must("an accepted design", "answer: accepted\nby: P-12\n" in reply(), reply())
    (folder / (name + "-accepted.txt")).write_text(reply(), encoding="utf-8")
    press(seen, "[name=answer][value=questions]")
    field = seen.find_elements(By.CSS_SELECTOR, "#question-list textarea")[0]
    seen.execute_script("arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event('input', {bubbles: true}))",
                        field, "Softer here?  \"2 mm\"\n& </script> <b>Fuß €")
    press(seen, "[data-view=above]")
    press(seen, "#question-list li:first-child .tools button")
    seen.execute_script("arguments[0].scrollIntoView({block: 'center'})", canvas)
    target = seen.execute_script("""
        const box = archwright.view.canvas.getBoundingClientRect(), at = archwright.view.onPage([30, 0, 0]);
        return [box.left + at[0], box.top + at[1]]""")
    for kind in ["mousePressed", "mouseReleased"]:
        seen.execute_cdp_cmd("Input.dispatchMouseEvent", {"type": kind, "x": target[0], "y": target[1],
                                                          "button": "left", "clickCount": 1})
    wait(seen, "the place was taken", "return archwright.answer.questions[0].place !== null")
    place = seen.execute_script("return archwright.answer.questions[0].place")
    must("the place is where it was clicked", abs(place[0] - 30) < 1.5 and abs(place[1]) < 1.5, str(place))
    press(seen, "#add-question")
    second = seen.find_elements(By.CSS_SELECTOR, "#question-list textarea")[1]
    second.send_keys("And the edge?")
    must("two questions with a place", "\nplace 1: " in reply() and "\nquestion 2: And the edge?\n" in reply(), reply())
    (folder / (name + "-questions.txt")).write_text(reply(), encoding="utf-8")
    seen.execute_script("arguments[0].scrollIntoView({block: 'center'})", second)
    picture(seen, name + "-answer")
    press(seen, "#copy")
    wait(seen, "it says what copying did", "return document.getElementById('copied').textContent !== ''")
    seen.execute_script("for (const d of document.querySelectorAll('details')) d.open = true")
    picture(seen, name + "-words")

    # nothing is wider than the page, and no word is cut
    wide = seen.execute_script("return [document.documentElement.scrollWidth, window.innerWidth]")
    must("no sideways scrolling", wide[0] <= wide[1], str(wide))
    cut = seen.execute_script("""
        const out = [];
        for (const e of document.querySelectorAll("h1, h2, p, li, td, th, dt, dd, button, label, code, summary, output, span")) {
          if (!e.offsetParent || !e.textContent.trim()) continue;
          const box = e.getBoundingClientRect();
          if (box.left < -0.5 || box.right > window.innerWidth + 0.5 || e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0)
            out.push([e.tagName, e.textContent.slice(0, 40), box.left, box.right, e.scrollWidth, e.clientWidth]);
        }
        return out""")
    must("no word is cut off", not cut, json.dumps(cut))
    small = seen.execute_script("""
        return [...document.querySelectorAll("button")].filter((b) => b.offsetParent)
          .filter((b) => b.getBoundingClientRect().height < 34).map((b) => b.textContent)""")
    must("buttons are large enough for a finger", not small, str(small))

    # a page without WebGL still has its words and its answer
    said = [line for line in seen.get_log("browser")]
    must("the console has no word to say", not said, json.dumps(said))
    asked = []
    for line in seen.get_log("performance"):
        message = json.loads(line["message"])["message"]
        if message["method"] in ("Network.requestWillBeSent", "Network.webSocketCreated"):
            asked.append(message["params"].get("request", {}).get("url", message["params"].get("url")))
    must("the page was seen loading", page in asked, str(asked))
    must("no request leaves", all(one == page for one in asked), str(asked))


def without_picture():
    seen = browser(1280, 800, False)
    try:
        seen.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {
            "source": "HTMLCanvasElement.prototype.getContext = () => null"})
        seen.get(page)
        wait(seen, "the page says so", "return document.getElementById('trouble').textContent.includes('WebGL')")
        seen.find_element(By.ID, "by").send_keys("P-12")
        press(seen, "[name=answer][value=accepted]")
        must("it can be answered without a picture", "answer: accepted" in seen.find_element(By.ID, "reply").get_attribute("value"))
    finally:
        seen.quit()


try_at("desk", 1280, 800, False)
try_at("telephone", 390, 844, True)
without_picture()
print("Turned, cut, coloured and answered at both sizes; nothing was asked from elsewhere.")
