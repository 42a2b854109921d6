// Shows what the program tells, and nothing else: it only reads. Names go in as text, never as markup.
"use strict";

const part = (id) => document.getElementById(id);
const SPEAK_EVERY_MS = 2000; // so that a screen reader is not talked over
const MOST_LARGE = 16; // with more controls, what became of a press would be far below them
const SVG = "http://www.w3.org/2000/svg";

function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

// Makes a list as long as the items, then fills each; what is as it was stays untouched.
function fill(list, items, make, show) {
  while (list.children.length > items.length) list.lastElementChild.remove();
  while (list.children.length < items.length) list.append(make());
  items.forEach((item, number) => {
    const shown = JSON.stringify(item);
    const element = list.children[number];
    if (element.shown === shown) return;
    element.shown = shown;
    show(element, item, number);
  });
}

function made(tag, name, parent) {
  const element = document.createElement(tag);
  if (name) element.className = name;
  if (parent) parent.append(element);
  return element;
}

function mark(parent) {
  const element = made("span", "mark", parent);
  element.setAttribute("aria-hidden", "true");
  return element;
}

// ---------------------------------------------------------------- controls
function makeTile() {
  const tile = made("li");
  const name = made("span", "name", tile);
  tile.mark = mark(name);
  tile.word = made("bdi", "", name);
  tile.beside = made("span", "beside", name);
  tile.state = made("span", "state", tile);
  return tile;
}

function drawStick(state) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", "0 0 100 100");
  svg.setAttribute("aria-hidden", "true");
  for (const [tag, name] of [["circle", "rim"], ["line", "arm"], ["circle", "knob"]]) {
    const shape = document.createElementNS(SVG, tag);
    shape.setAttribute("class", name);
    svg.append(shape);
  }
  const [rim, arm, knob] = svg.children;
  for (const [shape, radius] of [[rim, 46], [knob, 15]]) {
    shape.setAttribute("cx", 50);
    shape.setAttribute("cy", 50);
    shape.setAttribute("r", radius);
  }
  arm.setAttribute("x1", 50);
  arm.setAttribute("y1", 50);
  state.append(svg);
  state.words = made("span", "unseen", state);
  return svg;
}

const WAYS = ["right", "right and down", "down", "left and down", "left", "left and up", "up",
  "right and up"];

function showTile(tile, control) {
  tile.className = control.is_lit ? "lit" : "";
  setText(tile.mark, control.is_lit ? "◆ " : "");
  setText(tile.word, control.name);
  setText(tile.beside, control.beside);
  if (!control.moves) {
    const share = control.share;
    setText(tile.state, share > 0 && share < 100 ? `${share} %` : control.is_lit ? "pressed" : "");
    return;
  }
  tile.stick = tile.stick || drawStick(tile.state);
  const far = control.way === null ? 0 : (control.share === null ? 70 : control.share) / 100;
  const turn = control.way === null ? 0 : (control.way * Math.PI) / 4;
  const x = 50 + 31 * far * Math.cos(turn);
  const y = 50 + 31 * far * Math.sin(turn);
  const [, arm, knob] = tile.stick.children;
  arm.setAttribute("x2", x);
  arm.setAttribute("y2", y);
  knob.setAttribute("cx", x);
  knob.setAttribute("cy", y);
  const share = control.share === null ? "" : `, ${control.share} %`;
  setText(tile.state.words, control.way === null ? "in the middle" : WAYS[control.way] + share);
}

// ---------------------------------------------------------------- the rest
function makeLayer() {
  const item = made("li");
  item.mark = mark(item);
  item.word = made("bdi", "", item);
  item.base = made("span", "base", item);
  return item;
}

function showLayer(item, layer) {
  item.className = layer.top ? "top" : "";
  setText(item.mark, "◆ ");
  setText(item.word, layer.name);
  setText(item.base, layer.is_base ? "always on" : "");
}

function makeTold() {
  const item = made("li");
  item.mark = mark(item);
  const text = made("span", "", item);
  item.subject = made("bdi", "subject", text);
  item.words = made("bdi", "", text);
  item.time = made("time", "", text);
  return item;
}

function showTold(item, told) {
  setText(item.mark, told.is_refusal ? "×" : "");
  setText(item.subject, told.subject);
  setText(item.words, ` ${told.text} `);
  setText(item.time, told.time);
}

function makeDevice() {
  const item = made("li");
  item.mark = mark(item);
  const text = made("span", "", item);
  item.word = made("bdi", "", text);
  item.person = made("span", "", text);
  item.words = made("span", "words", text);
  return item;
}

function showDevice(item, device) {
  setText(item.mark, device.state === "here" ? "◆" : "×");
  setText(item.word, device.name);
  setText(item.person, ` (${device.person})`);
  setText(item.words, device.words);
}

function shows(element, text) {
  element.hidden = !text;
  setText(element, text);
}

function show(picture) {
  const title = picture.title || "remapd watch";
  setText(part("title"), title);
  if (document.title !== `${title} - remapd watch`) document.title = `${title} - remapd watch`;
  setText(part("since"), picture.layout);
  shows(part("trouble"), picture.trouble ? `× ${picture.trouble}` : "");

  const on = picture.layers.filter((each) => each.order).sort((a, b) => b.order - a.order);
  fill(part("layers"), on.map((each, number) => ({ ...each, top: number === 0 })), makeLayer,
    showLayer);
  const off = picture.layers.filter((each) => !each.order).map((each) => each.name);
  setText(part("off"), off.length ? `Off: ${off.join(", ")}` : "");
  const stays = [...picture.lasting, ...picture.offered.map((each) => `offered: ${each}`)];
  part("stays-name").hidden = !stays.length;
  fill(part("stays"), stays, () => made("li"), (item, text) => setText(item, `◆ ${text}`));

  const helper = picture.hands.filter((each) => each.beside);
  const hands = picture.hands.filter((each) => !each.beside);
  part("hands").classList.toggle("small", hands.length > MOST_LARGE);
  fill(part("hands"), hands, makeTile, showTile);
  part("helper-part").hidden = !helper.length;
  fill(part("helper"), helper.map((each) => ({ ...each, beside: "" })), makeTile, showTile);
  fill(part("verbs"), picture.pad.filter((each) => each.beside), makeTile, showTile);
  fill(part("pad"), picture.pad.filter((each) => !each.beside), makeTile, showTile);
  part("none-told").hidden = picture.told.length > 0;
  fill(part("told"), picture.told.slice(0, 8), makeTold, showTold);
  fill(part("devices"), picture.devices, makeDevice, showDevice);

  const others = picture.others.join(", ");
  shows(part("others"), others ? `Plugged in and not used: ${others}` : "");

  part("refused-part").hidden = !picture.refused;
  setText(part("refused"), picture.refused ? `× ${picture.refused}` : "");
  setText(part("refused-lines"), picture.refused_lines.join("\n"));
  announce(picture, on);
}

// ---------------------------------------------------------------- said aloud by screen readers
let before = null;
let waiting = new Map(); // by subject: only the newest of each is said
let lastSpoken = -SPEAK_EVERY_MS;
let speaking = 0;

function announce(picture, on) {
  const now = {
    layers: on.length ? `Layer ${on.map((each) => each.name).join(" over ")}` : "No layer is on",
    stays: picture.lasting.join("; ") || "Nothing stays on by itself",
    trouble: picture.trouble || "Playing",
    refused: picture.refused || "The layout is in force",
    devices: picture.devices.filter((each) => each.state !== "here")
      .map((each) => `${each.name} is missing`).join(", ") || "All devices are here",
  };
  if (before !== null) {
    for (const subject of Object.keys(now)) {
      if (now[subject] !== before[subject]) waiting.set(subject, now[subject]);
    }
  }
  before = now;
  if (waiting.size && !speaking) {
    const soonest = lastSpoken + SPEAK_EVERY_MS - performance.now();
    speaking = setTimeout(speak, Math.max(0, soonest));
  }
}

function speak() {
  speaking = 0;
  lastSpoken = performance.now();
  setText(part("announced"), [...waiting.values()].join(". "));
  waiting = new Map();
}

// ---------------------------------------------------------------- how it is shown
const kept = {
  get(name) { try { return localStorage.getItem(name); } catch { return null; } },
  set(name, value) { try { localStorage.setItem(name, value); } catch { /* it is not kept */ } },
};
const SIZES = [0.875, 1, 1.25, 1.5, 1.875, 2.25, 2.75];
let size = Number(kept.get("size") ?? 2);

function useSize(change) {
  size = Math.min(SIZES.length - 1, Math.max(0, size + change));
  document.documentElement.style.setProperty("--size", `${SIZES[size]}rem`);
  kept.set("size", String(size));
}

function useColours(dark) {
  document.documentElement.classList.toggle("dark", dark);
  part("colours").setAttribute("aria-pressed", String(dark));
  kept.set("dark", dark ? "yes" : "no");
}

let latest = null;
let isStill = false;

function start() {
  useSize(0);
  const chosen = kept.get("dark");
  useColours(chosen ? chosen === "yes" : matchMedia("(prefers-color-scheme: dark)").matches);
  part("smaller").addEventListener("click", () => useSize(-1));
  part("larger").addEventListener("click", () => useSize(1));
  part("colours").addEventListener("click", () =>
    useColours(!document.documentElement.classList.contains("dark")));
  part("still").addEventListener("click", () => {
    isStill = !isStill;
    part("still").setAttribute("aria-pressed", String(isStill));
    if (!isStill && latest) show(latest);
  });
  const events = new EventSource("events");
  events.addEventListener("message", (event) => {
    latest = JSON.parse(event.data);
    if (!isStill) show(latest);
  });
  events.addEventListener("error", () =>
    shows(part("trouble"), "× The program that shows this page has ended; start it again."));
}

start();
