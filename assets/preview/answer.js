// The answer as text: what exporters/preview/reply.cpp reads again.
"use strict";

const settled = (text) => text.replace(/[\u0000-\u001f\u007f\u0085\u00a0\u2028\u2029\s]+/g, " ").trim();
const tenth = (v) => { const text = v.toFixed(1); return text === "-0.0" ? "0.0" : text; };

/** FNV-1a of the lines, 32 bits: finds what a mail program changed. */
function checkOf(lines) {
  let hash = 2166136261;
  for (const byte of new TextEncoder().encode(lines.map(([key, value]) => key + ": " + value + "\n").join("")))
    hash = Math.imul(hash ^ byte, 16777619) >>> 0;
  return hash.toString(16).padStart(8, "0");
}

/** `questions`: {text, place, on}; a place in the design frame: mm forward, medial, up. */
function replyText(data, answer, by, questions) {
  const lines = [["case", data.case], ["side", data.side], ["revision", data.revision],
    ["fingerprint", data.fingerprint], ["answer", answer]];
  if (by) lines.push(["by", by]);
  if (answer === "questions")
    questions.forEach((question, k) => {
      lines.push(["question " + (k + 1), settled(question.text)]);
      if (question.place) lines.push(["place " + (k + 1), question.place.map(tenth).join(" ") + " " + question.on]);
    });
  lines.push(["check", checkOf(lines)]);
  return "ARCHWRIGHT REPLY 1\n" + lines.map(([key, value]) => key + ": " + value + "\n").join("") + "END OF REPLY\n";
}

const mostQuestions = 40;

/** The form; `view` may be null where there is no picture. */
class Answer {
  constructor(data, view) {
    this.data = data;
    this.view = view;
    this.questions = [];
    this.pointing = null;
    this.form = document.getElementById("answer");
    this.form.addEventListener("submit", (event) => event.preventDefault());
    this.form.addEventListener("input", () => this.write());
    const accept = this.form.querySelector("[value=accepted]");
    if (!data.may_be_accepted) {
      accept.disabled = true;
      accept.parentNode.append(" (not while a check stops it)");
    }
    for (const radio of this.form.querySelectorAll("[name=answer]"))
      radio.addEventListener("change", () => {
        if (this.answer() === "questions" && !this.questions.length) this.add();
        this.write();
      });
    document.getElementById("add-question").addEventListener("click", () => this.add());
    document.getElementById("copy").addEventListener("click", () => this.copy());
    this.write();
  }

  answer() {
    const chosen = this.form.querySelector("[name=answer]:checked");
    return chosen ? chosen.value : "";
  }

  add() {
    if (this.questions.length >= mostQuestions) return;
    const question = { place: null, on: "" };
    const make = (kind, words) => {
      const made = document.createElement(kind);
      if (words) made.textContent = words;
      if (kind === "button") made.type = "button";
      return made;
    };
    question.item = make("li");
    question.field = make("textarea");
    question.field.rows = 2;
    question.field.maxLength = 1000;
    question.field.setAttribute("aria-label", "Question");
    question.told = make("span");
    question.point = make("button", "Point at the shell");
    question.point.disabled = !this.view;
    question.point.addEventListener("click", () => this.point(this.pointing === question ? null : question));
    question.remove = make("button", "Remove");
    question.remove.addEventListener("click", () => {
      if (this.pointing === question) this.point(null);
      this.questions.splice(this.questions.indexOf(question), 1);
      question.item.remove();
      this.write();
    });
    const tools = make("div");
    tools.className = "tools";
    tools.append(question.point, question.remove, question.told);
    question.item.append(question.field, tools);
    document.getElementById("question-list").append(question.item);
    this.questions.push(question);
    this.write();
    question.field.focus({ preventScroll: true });
  }

  /** The next click on the shell is the place of this question. */
  point(question) {
    this.pointing = question;
    for (const one of this.questions) {
      one.point.classList.toggle("on", one === question);
      one.point.textContent = one === question ? "Now click on the shell" : one.place ? "Point elsewhere" : "Point at the shell";
    }
    this.view.canvas.classList.toggle("pointing", question !== null);
    if (question) this.view.canvas.scrollIntoView({ block: "nearest" });
  }

  /** A place was clicked; true when it was wanted. */
  clicked(picked) {
    const question = this.pointing;
    if (!question || !picked) return false;
    const [x, y, z] = picked.place;
    question.place = [x, this.view.left ? -y : y, z];
    question.on = ["foot side", "underside", "edge"][picked.group];
    question.pin = picked;
    question.told.textContent = wordsOf(question.place) + ", " + question.on;
    this.point(null);
    this.write();
    if (!question.field.value) question.field.focus({ preventScroll: true });
    return true;
  }

  write() {
    const answer = this.answer();
    const by = document.getElementById("by").value.trim();
    const asked = this.questions.map((q) => ({ text: q.field.value, place: q.place, on: q.on })).filter((q) => settled(q.text));
    let missing = "";
    if (!answer) missing = "Choose one of the two.";
    else if (by && !/^[A-Za-z0-9](?:[A-Za-z0-9-]*)$/.test(by)) missing = "A code has letters, digits and dashes.";
    else if (answer === "accepted" && !by) missing = "Write your code: the laboratory records who accepted.";
    else if (answer === "questions" && !asked.length) missing = "Write a question.";
    document.getElementById("missing").textContent = missing;
    document.getElementById("questions").hidden = answer !== "questions";
    document.getElementById("reply-box").hidden = missing !== "";
    document.getElementById("add-question").disabled = this.questions.length >= mostQuestions;
    document.getElementById("reply").value = missing ? "" : replyText(this.data, answer, by, asked);
    document.getElementById("copied").textContent = "";
    if (this.view) {
      this.view.pins = answer === "questions" ? this.questions.map((q, k) => q.pin && { number: k + 1, ...q.pin }).filter(Boolean) : [];
      this.view.draw();
    }
  }

  copy() {
    const field = document.getElementById("reply");
    const told = document.getElementById("copied");
    const done = () => { told.textContent = "Copied."; };
    field.focus();
    field.select();
    const byHand = () => {
      if (document.execCommand("copy")) done();
      else told.textContent = "It is selected: copy it by hand.";
    };
    if (navigator.clipboard && window.isSecureContext) navigator.clipboard.writeText(field.value).then(done, byHand);
    else byHand();
  }
}

/** "112 forward, 15 medial, 3 up" */
function wordsOf([x, y, z]) {
  const along = (v, one, other) => Math.abs(v).toFixed(0) + (v < 0 && Math.abs(v) >= 0.5 ? other : one);
  return along(x, " forward", " back") + ", " + along(y, " medial", " lateral") + ", " + along(z, " up", " down");
}
