// The page put together: buttons, legend, section, what the mouse is over.
"use strict";

function start() {
  const data = JSON.parse(document.getElementById("data").textContent);
  const by = (id) => document.getElementById(id);
  let view = null;
  try {
    view = new View(by("space"), data);
  } catch (error) {
    by("trouble").textContent = error.message;
    by("trouble").hidden = false;
    for (const button of document.querySelectorAll(".bar button")) button.disabled = true;
  }
  const answer = new Answer(data, view);
  window.archwright = { view, answer, data };  // for those who look from the console, and for the tests
  if (!view) return;

  const choose = (group, name, value) => {
    for (const button of by(group).querySelectorAll("button"))
      button.setAttribute("aria-checked", String(button.dataset[name] === value));
  };
  const onChoice = (group, name, act) => {
    for (const button of by(group).querySelectorAll("button"))
      button.addEventListener("click", () => act(button.dataset[name]));
  };

  const showPaint = (paint) => {
    view.setPaint(paint);
    choose("paints", "paint", paint);
    by("legend").hidden = paint === "plain";
    if (paint !== "plain") {
      const scale = data.scales[paint];
      by("legend-title").textContent = scale.title;
      by("legend-note").textContent = paint === "distance" ? "+ into the foot, - away from it" : "";
      const ink = by("legend-bar").getContext("2d");
      for (let k = 0; k < 256; ++k) {
        ink.fillStyle = "rgb(" + scale.bytes.slice(3 * k, 3 * k + 3).join(",") + ")";
        ink.fillRect(k, 0, 1, 1);
      }
      by("legend-ticks").replaceChildren();
      const count = Math.round((scale.high - scale.low) / scale.tick);
      const every = Math.ceil(count / 6);
      const first = paint === "distance" ? (count / 2) % every : 0;
      for (let k = first; k <= count; k += every) {
        const tick = document.createElement("span");
        const value = scale.low + k * scale.tick;
        tick.textContent = (paint === "distance" && value > 1e-9 ? "+" : "") + (Math.abs(value) < 1e-9 ? 0 : value).toFixed(scale.decimals);
        // the end figures stay inside the bar
        tick.style.left = Math.min(96, Math.max(4, 100 * k / count)) + "%";
        by("legend-ticks").append(tick);
      }
    }
    view.draw();
  };
  const showCast = (kind) => {
    view.castShown = kind;
    choose("casts", "cast", kind);
    view.draw();
  };
  let cut = "none";
  const showCut = (turn) => {
    const plane = cut === "none" ? null : planeOf(cut, by("cut-at").value / 1000, view);
    view.cut = plane;
    choose("cuts", "cut", cut);
    by("cut-tools").hidden = !plane;
    if (plane) {
      by("cut-told").textContent = placeOf(plane, view.left);
      if (turn) {  // the eye goes to where the cut is seen
        const inner = (view.left ? -1 : 1) * Math.PI / 2;
        [view.round, view.over] = { frontal: [inner * 0.3, 0.35], sagittal: [inner * 0.9, 0.3], level: [inner, 1.2] }[cut];
        [view.zoom, view.shift] = [cut === "frontal" ? 1.6 : 1.1, [0, 0]];
      }
    }
    view.draw();
  };
  onChoice("views", "view", (name) => view.look(name));
  onChoice("casts", "cast", showCast);
  onChoice("paints", "paint", (paint) => {
    if (paint !== "plain" && view.castShown !== "none") showCast("none");  // nothing over what is to be read
    showPaint(paint);
  });
  onChoice("cuts", "cut", (kind) => {
    if (kind !== cut) by("cut-at").value = kind === "frontal" ? 600 : 500;
    cut = kind;
    showCut(true);
  });
  by("cut-at").addEventListener("input", () => showCut(false));

  const figures = (picked) => {
    const [x, y, z] = picked.place;
    let text = wordsOf([x, view.left ? -y : y, z]);
    if (picked.wall !== null) text += "; wall " + picked.wall.toFixed(1) + " mm";
    if (picked.distance !== null) text += "; to the cast " + (picked.distance > 0 ? "+" : "") + picked.distance.toFixed(1) + " mm";
    return text;
  };
  let lastHover = 0;
  view.hover = (at) => {
    if (performance.now() - lastHover < 40) return;
    lastHover = performance.now();
    const picked = view.pick(...at);
    by("told").textContent = picked ? figures(picked) : "";
  };
  view.clicked = (at) => {
    const picked = view.pick(...at);
    by("told").textContent = picked ? figures(picked) : "";
    answer.clicked(picked);
  };

  // numbers of the questions stand over the picture
  const stage = document.querySelector(".stage");
  const pins = [];
  view.changed = () => {
    while (pins.length < view.pins.length) {
      const pin = document.createElement("b");
      pin.className = "pin";
      stage.append(pin);
      pins.push(pin);
    }
    pins.forEach((pin, k) => {
      const asked = view.pins[k];
      pin.hidden = !asked;
      if (!asked) return;
      const [px, py] = view.onPage(asked.place);
      pin.textContent = asked.number;
      pin.style.left = px + "px";
      pin.style.top = py + "px";
      pin.hidden = px < 0 || py < 0 || px > view.canvas.clientWidth || py > view.canvas.clientHeight;
    });
    if (view.cut) drawSection(by("cut-drawing"), view, view.cut);
  };
  choose("casts", "cast", view.castShown);
  choose("paints", "paint", "plain");
  choose("cuts", "cut", "none");
  view.draw();
}

// the words first, the picture as soon as they stand
requestAnimationFrame(() => setTimeout(start));
