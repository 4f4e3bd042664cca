// The page of recording: the number pad, and what is written kept on the phone before it
// is sent. Without this file every form is sent at once.

const record = document.querySelector("#record");
const $ = (css) => record.querySelector(css);
const box = await import(record.dataset.outbox);
const me = { member: Number(record.dataset.member), club: record.dataset.club };

const show = (node, on) => { if (node) node.hidden = !on; };

function say(text) {
	$("#kept").textContent = text;
	show($("#kept"), true);
}

// ago is how long since, in the words of the server's pages.
function ago(from) {
	const minutes = Math.max(0, (Date.now() - from) / 60e3);
	if (minutes < 2) return "just now";
	if (minutes < 60) return `${Math.floor(minutes)} min ago`;
	if (minutes < 48 * 60) return `${Math.floor(minutes / 60)} ${Math.floor(minutes / 60) === 1 ? "hour" : "hours"} ago`;
	return `${Math.floor(minutes / 1440)} days ago`;
}

// The gauge: the one last used on this phone, with its last level.

const gauges = $("#gauge");
const cookie = (name) => document.cookie.split("; ").find((c) => c.startsWith(name + "="))?.slice(name.length + 1);

// latest is the last level of a gauge, from the server or from this phone.
function latest(slug, entries) {
	const option = [...gauges?.options ?? []].find((o) => o.value === slug);
	let last = option?.dataset.at ? { level: option.dataset.level, at: Date.parse(option.dataset.at) } : null;
	for (const e of entries) {
		if (e.fields.kind !== "level" || e.fields.gauge !== slug || e.state === "needs mending" || e.fields.withdraw) continue;
		const at = Date.parse(e.fields.at);
		if (!last || at >= last.at) last = { level: shown(e.fields.level), at };
	}
	return last;
}

const shown = (text) => {
	const v = Number(String(text).replace(",", ".").replace("−", "-"));
	return text !== "" && Number.isFinite(v) ? v.toFixed(2).replace("-", "−") : text;
};

function showLast(entries) {
	if (!gauges) return;
	const last = latest(gauges.value, entries);
	if (!last) {
		$("#last").textContent = "No level yet";
		return;
	}
	const b = document.createElement("b");
	b.textContent = `${last.level} m, ${ago(last.at)}`;
	$("#last").replaceChildren(b);
}

// The pad. Digits come in from the right, as centimetres: 1, 2, 4 is 1.24, and no point
// need be pressed. Pressed, it stands where it was pressed.

function pad() {
	const level = $("#level");
	if (!level) return;
	let typed = "", below = false;
	const put = () => {
		const text = typed === "" ? "" : typed.includes(".") ? typed : (Number(typed) / 100).toFixed(2);
		level.value = text === "" ? "" : (below ? "-" : "") + text;
	};
	for (const key of record.querySelectorAll("[data-key]")) {
		show(key, true);
		key.addEventListener("click", () => {
			const k = key.dataset.key;
			if (k === "Back") typed = typed.slice(0, -1);
			else if (k === "Minus") below = !below;
			else if (k === ".") typed = typed.includes(".") ? typed : typed + ".";
			else if (typed.length < 6) typed += k;
			put();
		});
	}
	level.addEventListener("input", () => { typed = level.value.replace("-", ""); below = level.value.startsWith("-"); });
	level.form.addEventListener("reset", () => { typed = ""; below = false; });
}

// nearest chooses the gauge whose waters are nearest, when told to. Over some tens of
// miles the earth is flat enough to compare by.
function nearest() {
	const press = $("#nearest");
	const placed = [...gauges?.options ?? []].filter((o) => o.dataset.lat);
	if (!press || !navigator.geolocation || placed.length < 2) return;
	show(press, true);
	press.addEventListener("click", () => {
		say("Asking the phone where it is…");
		navigator.geolocation.getCurrentPosition(({ coords: { latitude, longitude } }) => {
			const far = ({ dataset: { lat, lon } }) => Math.hypot(lat - latitude, (lon - longitude) * Math.cos(latitude * Math.PI / 180));
			const first = placed.reduce((a, b) => far(b) < far(a) ? b : a);
			gauges.value = first.value;
			gauges.dispatchEvent(new Event("change"));
			say(`${first.textContent} is the gauge of the nearest water.`);
		}, () => say("The phone does not say where it is. Choose the gauge yourself."), { maximumAge: 300e3, timeout: 15e3 });
	});
}

// The sounding: the runs of the peg, the level of its gauge, the mean of the floats.

function soundings() {
	const form = $("#sounding-form");
	if (!form) return;
	const { peg, run } = form.elements, level = form.querySelector("#s-level");
	const names = [...run.options].map((o) => o.cloneNode(true));
	const choose = async () => {
		const option = peg.selectedOptions[0], was = run.value;
		const runs = option?.dataset.runs ? option.dataset.runs.split("|") : null;
		run.replaceChildren(...names.filter((o) => !runs || o.value === "" || runs.includes(o.value)).map((o) => o.cloneNode(true)));
		run.value = runs && !runs.includes(was) ? "" : was;
		const last = latest(option?.parentElement?.dataset.gauge, await mineHere());
		if (level.value !== (level.dataset.filled ?? "")) return;
		level.dataset.filled = level.value = last && Date.now() - last.at < 6 * 3600e3 ? last.level.replace("−", "-") : "";
	};
	peg.addEventListener("change", choose);
	const mean = () => {
		const over = Number(form.elements.over.value.replace(",", "."));
		const secs = [...form.elements.secs].map((i) => Number(i.value.replace(",", "."))).filter((s) => s > 0);
		const pace = over * secs.length / secs.reduce((a, b) => a + b, 0);
		$("#mean").textContent = over > 0 && secs.length ? `${pace.toFixed(2)} m/s, the mean of ${secs.length}` : "";
	};
	const asked = new URLSearchParams(location.search);
	if (asked.get("peg")) peg.value = asked.get("peg");
	if (peg.value) {
		choose().then(() => { // a page that was kept on the phone is not filled in yet
			for (const name of ["run", "depth", "over", "boil"]) if (asked.has(name)) form.elements[name].value = asked.get(name);
			if (asked.has("secs")) form.querySelector("#secs-1").value = asked.get("secs");
			mean();
		});
	}
	form.addEventListener("input", mean);
	form.addEventListener("click", () => setTimeout(mean));
}

// Keeping.

const mineHere = async () => canKeep ? (await box.all()).filter((e) => e.member === me.member && e.club === me.club) : [];
const canKeep = box.canKeep();

// fieldsOf is what a form says, with the time it is of.
function fieldsOf(form, button) {
	const fields = {};
	for (const [name, value] of new FormData(form, button)) {
		if (name === "id" || value === "") continue;
		if (name in fields) fields[name] = [fields[name], value].flat();
		else fields[name] = value;
	}
	const at = fields.at ? new Date(fields.at) : new Date();
	if (!fields.corrects || fields.at) fields.at = at.toISOString();
	const level = form.querySelector("#s-level");
	if (level && level.dataset.filled === level.value) delete fields.level; // the server knows it better
	return fields;
}

// boardPhoto is the photograph chosen, made small as it is kept; one that this browser
// cannot read goes as it is, and the server says what is the matter with it.
async function boardPhoto(form) {
	const file = form.querySelector("#board-photo")?.files[0];
	if (!file) return null;
	try {
		const picture = await createImageBitmap(file);
		const by = Math.min(1, 1600 / Math.max(picture.width, picture.height));
		const canvas = Object.assign(document.createElement("canvas"), { width: Math.round(picture.width * by), height: Math.round(picture.height * by) });
		canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
		return await new Promise((done, fail) => canvas.toBlob((b) => b ? done(b) : fail(new Error("no picture")), "image/jpeg", 0.82));
	} catch {
		return file;
	}
}

async function keep(form, button) {
	const fields = fieldsOf(form, button);
	const was = form.dataset.mends && (await box.all()).find((e) => e.id === form.dataset.mends);
	const entry = { id: was ? was.id : crypto.randomUUID(), ...me, fields, state: "kept", made: was ? was.made : Date.now(), rev: was ? was.rev + 1 : 0, words: words(form, fields) };
	const photo = await boardPhoto(form) ?? was?.photo;
	if (photo) Object.assign(entry, { photo, photoState: "kept" });
	const firm = await box.persist();
	await box.put(entry);
	show($("#evict"), !firm);
	say(`Kept on this phone: ${entry.words}.`);
	afterKeeping(form, fields);
	await list();
	flush();
}

function afterKeeping(form, fields) {
	if (fields.gauge) document.cookie = `levelpeg_gauge=${fields.gauge}; path=/record; max-age=34560000; samesite=lax`;
	const { gauge, peg, where } = form.elements;
	const stays = [gauge, peg, where].filter(Boolean).map((s) => [s, s.value]);
	for (const old of form.querySelectorAll("[name=corrects], .problem, [name=sure]")) old.remove();
	delete form.dataset.mends;
	form.reset();
	for (const i of form.querySelectorAll("input:not([type=hidden])")) i.value = "";
	for (const [s, value] of stays) s.value = value;
	peg?.dispatchEvent(new Event("change"));
}

// words are how an entry is told from the others on the list.
function words(form, f) {
	const named = (select) => select?.selectedOptions[0]?.textContent ?? "";
	const { gauge, peg, where } = form.elements;
	if (f.withdraw) return `Take away: ${words(form, { ...f, withdraw: "" })}`;
	switch (f.kind) {
	case "level": return `${named(gauge)} ${shown(f.level ?? "")} m`;
	case "sounding": return `${named(peg)}, ${f.run ?? ""} ${f.depth ?? ""} m deep`;
	case "closure": return `Close ${named(where)}: ${f.own ?? f.reason ?? ""}`;
	}
	return `${f.incident ?? "incident"}, ${named(where)}`;
}

// complete says what is wanting before an entry is kept: on the bank there is nobody to ask.
function wanting(form, f) {
	const need = { level: ["gauge", "level"], sounding: ["peg", "run", "depth"], closure: ["where"], incident: ["incident", "where"] }[f.kind] ?? [];
	const name = need.find((n) => !f[n] && !f.corrects);
	if (f.kind === "closure" && !f.own && !f.reason) return form.elements.own;
	return name ? form.elements[name] : null;
}

function forms() {
	for (const form of record.querySelectorAll(".keepform")) {
		form.addEventListener("submit", async (e) => {
			if (!canKeep) return;
			e.preventDefault();
			const missing = wanting(form, fieldsOf(form, e.submitter));
			if (missing) {
				say("That is not all yet: fill in the box that is marked.");
				missing.focus();
				return;
			}
			try {
				await keep(form, e.submitter);
			} catch {
				say("This browser could not keep it on the phone, so it is sent at once.");
				form.requestSubmit === undefined || form.submit();
			}
		});
	}
}

// The list.

function button(text, press) {
	const b = document.createElement("button");
	b.type = "button";
	b.textContent = text;
	b.addEventListener("click", press);
	return b;
}

const photoWords = (e) => ({ kept: " Its photograph: kept on this phone.", "in the book": " Its photograph: in the book.",
	"needs mending": ` Its photograph: not in the book. ${e.photoWhy}` }[e.photoState] ?? "");

function line(e) {
	const li = document.createElement("li"), p = document.createElement("p"), b = document.createElement("b");
	li.dataset.id = e.id;
	li.dataset.state = e.state;
	b.textContent = e.words;
	const state = { kept: "kept on this phone", "in the book": "in the book", "needs mending": `needs mending: ${(e.why ?? "").replace(/^needs /, "it needs ")}` }[e.state];
	const more = e.state === "in the book" ? e.says : e.state === "kept" ? e.why : "";
	p.append(b, ` · ${state}, ${ago(e.made)}. `, more ?? "", photoWords(e));
	li.append(p);
	if (e.photoState === "needs mending") {
		li.append(button("Take the photograph off this phone", async () => {
			await box.put({ ...e, photo: undefined, photoState: undefined, rev: e.rev + 1 });
			await list();
		}));
	}
	if (e.state === "needs mending") {
		if (e.ask) li.append(button("It is right: keep it", () => sure(e)));
		li.append(button("Change it", () => fill(e, { mends: e.id })));
		li.append(button("Take it off this phone", async () => { await box.drop(e.id); await list(); }));
	}
	if (e.state === "in the book" && ["level", "sounding"].includes(e.fields.kind) && !e.fields.withdraw) {
		li.append(button("Put it right", () => fill(e, { corrects: e.fields.corrects ?? e.id })));
	}
	return li;
}

async function sure(e) {
	await box.put({ ...e, fields: { ...e.fields, sure: "1" }, state: "kept", why: "", rev: e.rev + 1 });
	await list();
	flush();
}

// fill puts an entry into its form again, to be changed or to be put right.
function fill(e, how) {
	const form = $(`#${e.fields.kind}-form`);
	if (!form) return;
	form.reset();
	form.closest("details")?.setAttribute("open", "");
	for (const [name, value] of Object.entries(e.fields)) {
		if (["kind", "at", "sure", "corrects"].includes(name)) continue;
		const control = form.elements[name];
		if (control instanceof RadioNodeList) [value].flat().forEach((v, i) => { if (control[i]) control[i].value = v; });
		else if (control) control.value = value;
	}
	const at = new Date(e.fields.at ?? e.made);
	form.elements.at && (form.elements.at.value = new Date(at - at.getTimezoneOffset() * 60e3).toISOString().slice(0, 16));
	for (const old of form.querySelectorAll("[name=corrects]")) old.remove();
	if (how.mends) form.dataset.mends = how.mends;
	if (how.corrects ?? e.fields.corrects) {
		const hidden = Object.assign(document.createElement("input"), { type: "hidden", name: "corrects", value: how.corrects ?? e.fields.corrects });
		form.append(hidden);
	}
	form.scrollIntoView();
	say(how.mends ? `Change it, and keep it: ${e.words}.` : `Put it right, and keep it: ${e.words}. What it said stays in the book's past.`);
}

async function list() {
	if (!canKeep) return;
	const entries = await box.all();
	const own = entries.filter((e) => e.member === me.member && e.club === me.club);
	const others = entries.filter((e) => (e.member !== me.member || e.club !== me.club) && e.state === "kept").length;
	const due = own.filter((e) => e.state === "kept" || e.photoState === "kept" && e.state === "in the book").length;
	show($("#outbox"), own.length + others > 0);
	show($("#others"), others > 0);
	$("#others").textContent = `${others === 1 ? "1 entry" : `${others} entries`} of another member or club ${others === 1 ? "waits" : "wait"} on this phone until they sign in here.`;
	show($("#unsent"), due > 0);
	$("#unsent span").textContent = `${due} not sent yet.`;
	$("#entries").replaceChildren(...own.reverse().map(line));
	showLast(own);
}

// Sending: one at a time, and once more where more was asked for meanwhile.

let sending = null, more = false;
async function flush() {
	if (!canKeep) return;
	if (sending) {
		more = true;
		return;
	}
	do {
		more = false;
		sending = box.send(me).then((came) => {
			show($("#signed-out"), came.signedOut === true);
		}, () => {});
		await sending;
		sending = null;
		await list();
	} while (more);
}


function begin() {
	pad();
	nearest();
	show($(".board-photo"), canKeep);
	soundings();
	forms();
	const last = new URLSearchParams(location.search).get("gauge") ?? cookie("levelpeg_gauge");
	if (gauges && last && [...gauges.options].some((o) => o.value === last)) gauges.value = last;
	gauges?.addEventListener("change", list);
	const kind = new URLSearchParams(location.search).get("kind") ?? "";
	record.querySelector(`#${CSS.escape(kind)}-form`)?.closest("details")?.setAttribute("open", "");
	show($("#insecure"), !canKeep);
	list().finally(() => record.dataset.ready = "1").then(flush);
	addEventListener("online", flush);
	document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
	setInterval(flush, 60e3);
	$("#send").addEventListener("click", flush);
	if (canKeep && "serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js", { scope: "/record" }).catch(() => {});
}

begin();
