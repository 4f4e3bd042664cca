// Moving along the stave asks "and at another level?". Without this file the
// buttons and the box under the drawing ask the same.

const stave = () => document.querySelector("svg.section");

// asks is what moving along the stave asks for: another level, or on a page of no peg
// another depth.
const asks = (svg) => svg?.dataset.asks ?? "level";

// levelAt turns a height on the screen into a level, to the centimetre.
function levelAt(svg, clientY) {
	const box = svg.getBoundingClientRect();
	const y = (clientY - box.top) / box.height * svg.viewBox.baseVal.height;
	const { top, bottom, y0, y1 } = svg.dataset;
	const share = Math.min(1, Math.max(0, (y - y0) / (y1 - y0)));
	return Math.round((top - share * (top - bottom)) * 100) / 100;
}

// preview moves the water in the drawing, before the figures come.
function preview(svg, level) {
	const { top, bottom, y0, y1 } = svg.dataset;
	const y = +y0 + (top - level) / (top - bottom) * (y1 - y0);
	const line = svg.querySelector(".waterline");
	const from = +line.getAttribute("d").match(/M[\d.]+ ([\d.]+)/)[1];
	for (const moved of [line, svg.querySelector(".mark")]) {
		moved.setAttribute("transform", `translate(0 ${y - from})`);
	}
	const water = svg.querySelector(".water");
	water.setAttribute("y", y);
	water.setAttribute("height", Math.max(0, y1 - y));
	const box = document.querySelector("#" + asks(svg));
	if (box) box.value = level.toFixed(2);
}

let asked = 0;

// show replaces the sheet with the one at another level; where that fails the
// browser goes there itself.
async function show(level) {
	const mine = ++asked;
	const to = new URL(location.href);
	if (asks(stave()) === "level") {
		to.searchParams.delete("at");
		// What was plumbed and timed holds at the level it was found at.
		for (const own of ["depth", "pace", "over", "secs", "boil", "out"]) to.searchParams.delete(own);
	}
	to.searchParams.set(asks(stave()), level.toFixed(2));
	const run = document.querySelector("form.level input[name=run]");
	if (run) to.searchParams.set("run", run.value);
	try {
		const answer = await fetch(to, { headers: { Accept: "text/html" } });
		if (!answer.ok) throw new Error(answer.status);
		const page = new DOMParser().parseFromString(await answer.text(), "text/html");
		if (mine !== asked) return;
		document.querySelector("main").replaceWith(page.querySelector("main"));
		history.replaceState(null, "", to);
		begin();
	} catch {
		location.assign(to);
	}
}

// watches puts a stopwatch beside a box for seconds: one tap starts it, the next stops it.
function watches() {
	for (const box of document.querySelectorAll("input[data-watch]")) {
		const button = document.createElement("button");
		button.type = "button";
		button.className = "watch";
		button.textContent = box.dataset.watch;
		let from = 0, ticking = 0;
		const seconds = () => ((performance.now() - from) / 1000).toFixed(1);
		button.addEventListener("click", () => {
			if (ticking) {
				clearInterval(ticking);
				ticking = 0;
				box.value = seconds();
				button.textContent = box.dataset.watch;
				return;
			}
			from = performance.now();
			ticking = setInterval(() => button.textContent = `Stop at ${seconds()} s`, 100);
		});
		box.after(button);
	}
}

function begin() {
	watches();
	const svg = stave();
	const board = svg?.querySelector(".stave");
	if (!board || !svg.querySelector(".waterline")) return;
	board.classList.add("grip");
	// Inside a drawing a browser does not heed touch-action, and would scroll the page instead.
	board.addEventListener("touchstart", (e) => e.preventDefault(), { passive: false });
	board.addEventListener("pointerdown", (down) => {
		down.preventDefault();
		board.setPointerCapture(down.pointerId);
		let level = levelAt(svg, down.clientY);
		preview(svg, level);
		const move = (e) => preview(svg, level = levelAt(svg, e.clientY));
		const end = (e) => {
			board.removeEventListener("pointermove", move);
			if (e.type === "pointerup") show(level);
		};
		board.addEventListener("pointermove", move);
		board.addEventListener("pointerup", end, { once: true });
		board.addEventListener("pointercancel", end, { once: true });
	});
}

begin();

// Who signs out leaves no page behind that was kept for when there is no signal. What they
// wrote and has not been sent stays.
document.addEventListener("submit", (e) => {
	if (!("caches" in self) || !["/sign-out", "/me/remove"].includes(e.target.getAttribute("action"))) return;
	e.preventDefault();
	const pages = caches.keys().then((names) => Promise.all(names.filter((n) => n.startsWith("levelpeg-page-") || n.startsWith("levelpeg.saved")).map((n) => caches.delete(n))));
	pages.finally(() => e.target.submit());
});

// What is saved for when there is no signal is fetched anew when there is.
addEventListener("online", () => navigator.serviceWorker?.controller?.postMessage({ ask: "update" }));
