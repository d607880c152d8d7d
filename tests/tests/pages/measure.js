"use strict";
// What is wrong with the page in each frame. The contrast is that of WCAG 2.2: the ratio of relative
// luminances, each with 0.05 added.
const channels = (colour) => colour.match(/[\d.]+/g).map(Number);
const luminance = (colour) => {
  const [r, g, b] = channels(colour).map((value) => {
    const part = value / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const contrast = (a, b) => {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
};
const ground = (element, view) => {
  for (let at = element; at; at = at.parentElement) {
    const colour = view.getComputedStyle(at).backgroundColor;
    if ((channels(colour)[3] ?? 1) > 0) return colour;
  }
  return "rgb(255, 255, 255)";
};
const told = (element) => `${element.tagName} ${element.textContent.trim().slice(0, 40)}`;

function texts(page, view) {
  const walker = page.createTreeWalker(page.body, view.NodeFilter.SHOW_TEXT);
  const all = new Set();
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    const isShown = !["SCRIPT", "title", "desc"].includes(element.tagName);
    if (walker.currentNode.data.trim() && isShown) all.add(element);
  }
  return [...all];
}

// On staves: words that meet other words or signs, and what reaches beyond its picture.
function on_staves(staves) {
  const meeting = [];
  const beyond = [];
  const touch = (a, b) => a.left < b.right - 0.5 && b.left < a.right - 0.5 &&
    a.top < b.bottom - 0.5 && b.top < a.bottom - 0.5;
  for (const svg of staves) {
    const frame = svg.getBoundingClientRect();
    const boxes = (selector) => [...svg.querySelectorAll(selector)].map((element) => [element, element.getBoundingClientRect()]);
    const words = boxes("text");
    const signs = boxes("use");
    words.forEach(([element, box], at) => {
      const others = [...words.slice(at + 1), ...signs].filter(([, other]) => touch(box, other));
      meeting.push(...others.map(([other]) => `${told(element)} meets ${other.getAttribute("href") ?? told(other)}`));
    });
    const out = [...words, ...signs, ...boxes("path, rect, circle")].filter(([, box]) =>
      box.left < frame.left - 0.5 || box.right > frame.right + 0.5 || box.top < frame.top - 0.5 || box.bottom > frame.bottom + 0.5);
    beyond.push(...out.map(([element]) => element.outerHTML.slice(0, 80)));
  }
  return { meeting, beyond };
}

function faults(page, view) {
  const shown = texts(page, view);
  const every = (selector) => [...page.querySelectorAll(selector)];
  const pale = shown.filter((element) => {
    const style = view.getComputedStyle(element);
    const colour = element.namespaceURI.endsWith("svg") ? style.fill : style.color;
    return contrast(colour, ground(element, view)) < 4.5;
  });
  const wide = [...shown, ...every("svg, table")].filter((element) => {
    const box = element.getBoundingClientRect();
    return !element.closest(".wide") && (box.right > view.innerWidth + 0.5 || box.left < -0.5);
  });
  const levels = every("h1, h2, h3, h4").map((heading) => Number(heading.tagName[1]));
  const jumps = levels.filter((level, at) => level > (levels[at - 1] ?? 0) + 1);
  const named = (svg) => (svg.getAttribute("aria-labelledby") ?? "").split(" ");
  const nameless = every("svg").filter((svg) => svg.getAttribute("aria-hidden") !== "true" &&
    !(svg.getAttribute("role") === "img" && named(svg).every((id) => page.getElementById(id))));
  const staves = every(".staff svg[role=img]");
  const ids = every("[id]").map((element) => element.id);
  const wrong = {
    overflow: page.documentElement.scrollWidth > view.innerWidth ? [page.documentElement.scrollWidth] : [],
    contrast: pale.map(told),
    wide: wide.map(told),
    headings: jumps,
    pictures: nameless.map(told),
    captions: every("table").filter((table) => !table.caption).map(told),
    scopes: every("th").filter((head) => !head.scope).map(told),
    landmarks: every("main, h1").map((element) => element.tagName).join() === "H1,MAIN" ? [] : ["main, h1"],
    language: page.documentElement.lang === "en" && page.title ? [] : ["lang, title"],
    ids: ids.filter((id, at) => ids.indexOf(id) !== at),
    ...on_staves(staves),
    scroll: every(".wide").filter((region) => region.tabIndex !== 0 || !region.ariaLabel).map(told),
  };
  return { wrong, texts: shown.length, staves: staves.length, paper: view.getComputedStyle(page.body).backgroundColor };
}

function sorted(page) {
  const table = page.querySelector("main table");
  const keys = (column) => [...table.tBodies[0].rows].map((row) => row.cells[column].dataset.key);
  const heads = [...table.tHead.rows[0].cells];
  const by = (name, times) => {
    const column = heads.findIndex((head) => head.querySelector("button")?.textContent === name);
    for (let time = 0; time < times; time += 1) heads[column].querySelector("button").click();
    return keys(column);
  };
  const by_name = by("Take", 1);
  return { by_name, by_share: by("Off-beat starts", 2).map((key) => key === "" ? null : Number(key)) };
}

addEventListener("load", () => {
  const found = {};
  for (const frame of document.querySelectorAll("iframe")) {
    const page = frame.contentDocument;
    found[frame.name] = faults(page, frame.contentWindow);
    if (frame.name === "index") found.index.sorted = sorted(page);
  }
  const safe = (character) => `\\u00${character.charCodeAt(0).toString(16)}`;
  document.getElementById("found").textContent = JSON.stringify(found).replace(/[<>&]/g, safe);
});
