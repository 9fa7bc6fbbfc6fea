"use strict";
const name = location.pathname.split("/").pop();
const place = (id) => document.getElementById(id);

function element(tag, given = {}, ...children) {
  const made = Object.assign(document.createElement(tag), given);
  made.append(...children);
  return made;
}

/* A picture keeps its element as long as its name is the same, so that nothing flickers. */
function showPages(box, pages, title) {
  pages.forEach((page, at) => {
    const source = `/picture/${page}.png`;
    const image = box.children[at] ?? box.appendChild(element("img"));
    if (image.getAttribute("src") !== source) image.src = source;
    image.alt = `${title}, page ${at + 1} of ${pages.length}`;
  });
  while (box.children.length > pages.length) box.lastChild.remove();
}

function showView(id, view) {
  let section = place(`view-${id}`);
  if (!section) {
    section = place("views").appendChild(element("section", {id: `view-${id}`},
      element("h2"), element("p", {className: "trouble", hidden: true}), element("div", {className: "body"})));
  }
  const [head, trouble, body] = section.children;
  section.classList.toggle("old", Boolean(view.trouble));
  head.textContent = view.title || id;
  trouble.hidden = !view.trouble;
  trouble.textContent = view.trouble
    ? `${view.pages.length || view.text || view.phone ? "The last good page is shown. " : ""}${view.trouble}` : "";
  if (view.text) {
    const text = body.querySelector("pre") ?? body.appendChild(element("pre", {tabIndex: 0}));
    if (text.textContent !== view.text) text.textContent = view.text;
  } else if (view.phone) {
    const frame = body.querySelector("iframe") ?? body.appendChild(element("iframe", {title: view.title}));
    const source = `/phone/${name}/${view.phone}`;
    if (frame.getAttribute("src") !== source) frame.src = source;
  } else if (view.pages.length) {
    const box = body.querySelector(".pages") ?? body.appendChild(element("div", {className: "pages"}));
    showPages(box, view.pages, view.title);
  }
}

function showProblems(problems, file) {
  const lines = [...problems].sort((a, b) => file.endsWith(b.path) - file.endsWith(a.path));
  place("problems-head").textContent = problems.length === 1 ? "1 problem" : `${problems.length} problems`;
  place("problems").replaceChildren(...lines.map((problem) => element("li",
    {className: problem.path && file.endsWith(problem.path) ? "here" : ""},
    element("a", {href: problem.href, textContent: `${problem.path}:${problem.line}:${problem.column}`}),
    element("span", {textContent: ` ${problem.what}`}))));
}

let asked = 0;
async function renew() {
  const mine = ++asked;
  const state = await (await fetch(`/state/${name}`)).json();
  if (mine !== asked) return;
  document.title = state.target.title;
  place("title").textContent = state.target.title;
  for (const [id, view] of Object.entries(state.views)) showView(id, view);
  showProblems(state.problems, state.target.file);
  place("state").textContent = `${state.target.file} Saving ${state.number}. ${state.judged ? "All rules asked." : "The rules are being asked."}`;
  document.body.dataset.number = state.number;
  document.body.dataset.judged = state.judged;
}

async function listTargets() {
  const {targets} = await (await fetch("/targets")).json();
  const links = targets.map((target) => element("a",
    {href: `/show/${target.id}`, textContent: target.title}));
  links.forEach((link, at) => { if (targets[at].id === name) link.setAttribute("aria-current", "page"); });
  place("targets").replaceChildren(...links.map((link) => element("li", {}, link)));
  place("find").addEventListener("input", () => {
    const wanted = place("find").value.toLowerCase();
    for (const link of links) link.parentElement.hidden = !link.textContent.toLowerCase().includes(wanted);
  });
}

listTargets();
const events = new EventSource(`/events/${name}`);
events.onmessage = renew;
events.onerror = () => { place("state").textContent = "The preview has ended, or is being started again."; };
