// Saving a venue for when there is no signal, and what is saved. Without this file pages
// say that saving needs a script.

const can = self.isSecureContext && "serviceWorker" in navigator && "caches" in self && "randomUUID" in crypto;

// worker is the one that keeps what is saved; it is there once something was.
async function worker(make) {
	const at = document.querySelector("[data-worker]").dataset.worker;
	let r = await navigator.serviceWorker.getRegistration("/");
	if (!r?.active?.scriptURL.endsWith(at) && !make) return null;
	if (make) r = await navigator.serviceWorker.register(at, { scope: "/" });
	const w = r.active ?? r.waiting ?? r.installing;
	if (w.state !== "activated") {
		await new Promise((done, fail) => {
			const look = () => {
				if (w.state === "activated") done();
				if (w.state === "redundant") fail(new Error("the browser did not take it"));
			};
			w.addEventListener("statechange", look);
			look();
		});
	}
	return w;
}

// tell asks the worker something and gives what is saved after that.
async function tell(what, make = false) {
	const w = await worker(make);
	if (!w) return null;
	const { port1, port2 } = new MessageChannel();
	const answered = new Promise((done) => { port1.onmessage = (e) => done(e.data); });
	w.postMessage(what, [port2]);
	const a = await answered;
	if (a.error) throw Object.assign(new Error(a.error), { record: a.record });
	return a.record;
}

const clock = (at) => new Date(at).toLocaleString("en-GB", { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });
const size = (bytes) => `${(bytes / 1e6).toFixed(1)} MB`;
const words = (v) => `saved ${clock(v.at)}${v.level ? `, level ${v.level.level_m.toFixed(2).replace("-", "−")} m` : ""}`;

function button(text, does) {
	const b = document.createElement("button");
	b.type = "button";
	b.textContent = text;
	b.addEventListener("click", does);
	return b;
}

// onVenue fills the part of a venue's page.
function onVenue(part) {
	const slug = part.dataset.venue, say = part.querySelector("[role=status]");
	const keep = part.querySelector("[data-save]"), away = part.querySelector("[data-drop]");
	const show = (record) => {
		const v = record?.venues.find((x) => x.slug === slug);
		say.textContent = v ? `On this phone: ${words(v)}. It is fetched anew by itself when there is signal.` : "Not saved on this phone.";
		keep.textContent = v ? "Save it anew" : "Save for no signal";
		away.hidden = !v;
		part.dataset.saved = v ? v.at : "";
	};
	const does = (what, make) => async () => {
		keep.disabled = away.disabled = true;
		say.textContent = "A moment: it is being fetched …";
		try {
			show(await tell({ ...what, venue: slug }, make));
			if (make) keepRecordPage(part);
		} catch (e) {
			show(e.record);
			say.textContent = `That did not work, and nothing was changed. Try again with a better signal. ${say.textContent}`;
		}
		keep.disabled = away.disabled = false;
	};
	keep.addEventListener("click", does({ ask: "save" }, true));
	away.addEventListener("click", does({ ask: "drop" }, false));
	tell({ ask: "state" }).then(show, () => show(null)).finally(() => { part.dataset.ready = "1"; });
}

// keepRecordPage keeps the page for the bank as well, where it is this reader's.
function keepRecordPage(part) {
	if (part.dataset.record) navigator.serviceWorker.register("/sw.js", { scope: part.dataset.record }).catch(() => {});
}

// onList fills the page of what is saved.
async function onList(list) {
	const show = (record) => {
		const all = record?.venues ?? [];
		list.querySelector("[role=status]").textContent = all.length === 0 ? "Nothing is saved on this phone." : record.locked ? "Somebody has signed in since, so this opens again when there is signal." : "";
		list.querySelector("ul").replaceChildren(...all.map((v) => {
			const li = document.createElement("li"), a = document.createElement("a"), p = document.createElement("p");
			a.href = `/venues/${v.slug}`;
			a.textContent = v.name;
			p.textContent = `${words(v)}; ${v.pegs} pegs, ${size(v.bytes)}.`;
			li.append(a, p, button("Throw away", async () => show(await tell({ ask: "drop", venue: v.slug }))));
			return li;
		}));
		list.dataset.ready = "1";
	};
	show(await tell({ ask: "state" }).catch(() => null));
}

for (const part of document.querySelectorAll("[data-venue], [data-saved-list]")) {
	if (!can) continue;
	part.querySelector(".cannot").hidden = true;
	part.querySelector(".can").hidden = false;
	if (part.dataset.venue) onVenue(part);
	else onList(part);
}
