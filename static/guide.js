// A guide remembers the step where somebody was and which are done, and keeps the screen
// on. Without this file its steps are pages like any other.

const root = document.querySelector("[data-guide]");
const key = `levelpeg-guide-${root.dataset.guide}`;
const guidesKept = 12;

// Where nothing can be kept, as in a private window, the guide works all the same.
function read() {
	try {
		const kept = JSON.parse(localStorage.getItem(key));
		return { at: kept?.at ?? null, done: Array.isArray(kept?.done) ? kept.done : [] };
	} catch {
		return { at: null, done: [] };
	}
}

function write(kept) {
	try {
		localStorage.setItem(key, JSON.stringify({ ...kept, when: Date.now() }));
		const all = Object.keys(localStorage).filter((k) => k.startsWith("levelpeg-guide-"));
		if (all.length <= guidesKept) return;
		const when = (k) => { try { return JSON.parse(localStorage.getItem(k)).when ?? 0; } catch { return 0; } };
		all.sort((a, b) => when(a) - when(b)).slice(0, all.length - guidesKept).forEach((k) => localStorage.removeItem(k));
	} catch { /* nothing can be kept here */ }
}

async function stayAwake() {
	if (!("wakeLock" in navigator) || document.visibilityState !== "visible") return;
	try {
		await navigator.wakeLock.request("screen");
		document.querySelector("[data-awake]")?.removeAttribute("hidden");
	} catch { /* the battery is low, or the phone does not want to */ }
}

function step(at) {
	const kept = read();
	write({ ...kept, at });
	const bars = document.querySelectorAll(".bar i");
	const mark = document.querySelector("[data-done]");
	if (kept.done.includes(at)) {
		const tick = document.createElement("p");
		tick.className = "small";
		tick.textContent = "✓ You have done this step.";
		mark.closest("nav").before(tick);
	}
	mark.addEventListener("click", () => {
		const now = read();
		const last = ![...bars].at(-1)?.matches(":not(.c)");
		write({ at: last ? null : at, done: [...new Set([...now.done, at])] });
	});
	stayAwake();
	document.addEventListener("visibilitychange", stayAwake);
}

function list() {
	const kept = read();
	for (const li of document.querySelectorAll("[data-step]")) {
		if (!kept.done.includes(li.dataset.step)) continue;
		li.classList.add("ticked");
		const said = document.createElement("span");
		said.className = "tickmark";
		said.textContent = "done";
		li.querySelector("a").append(said);
	}
	const box = document.querySelector("[data-go-on]");
	const here = kept.at && document.querySelector(`[data-step="${CSS.escape(kept.at)}"] a`);
	if (!here && kept.done.length === 0) return;
	box.hidden = false;
	if (here) {
		const go = document.createElement("a");
		go.className = "go";
		go.href = here.getAttribute("href");
		go.textContent = `Go on: ${here.querySelector("span:nth-child(2)").textContent}`;
		box.append(go);
	}
	const again = document.createElement("button");
	again.type = "button";
	again.className = "plainly";
	again.textContent = "Take the ticks off";
	again.addEventListener("click", () => {
		try { localStorage.removeItem(key); } catch { /* nothing was kept */ }
		location.reload();
	});
	box.append(again);
}

if (root.dataset.at) step(root.dataset.at);
else list();
// A page that comes back from the browser's memory shows the ticks made since.
addEventListener("pageshow", (e) => { if (e.persisted && !root.dataset.at) location.reload(); });
