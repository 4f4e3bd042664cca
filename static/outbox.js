// What was written on this phone: kept in IndexedDB until the server itself says that it
// has it, and thirty days longer.

const sentFor = 30 * 24 * 3600e3;
const address = "/api/1/entries";
const batchMost = 50;
const patience = 20e3;
const photoPatience = 180e3;

const asked = (request) => new Promise((done, fail) => {
	request.onsuccess = () => done(request.result);
	request.onerror = () => fail(request.error);
});

let opened;
function store() {
	opened ??= (() => {
		const request = indexedDB.open("levelpeg", 1);
		request.onupgradeneeded = () => request.result.createObjectStore("entries", { keyPath: "id" });
		return asked(request);
	})();
	return opened;
}

// write changes entries in one transaction that has reached the disk when it is done.
async function write(change) {
	const db = await store();
	await new Promise((done, fail) => {
		const tx = db.transaction("entries", "readwrite", { durability: "strict" });
		tx.oncomplete = done;
		tx.onabort = tx.onerror = () => fail(tx.error ?? new Error("not written"));
		change(tx.objectStore("entries"));
	});
}

export async function all() {
	const entries = await asked((await store()).transaction("entries").objectStore("entries").getAll());
	return entries.sort((a, b) => a.made - b.made);
}

export const put = (entry) => write((entries) => entries.put(entry));

export const drop = (id) => write((entries) => entries.delete(id));

// persist asks the browser to hold on to what is kept here.
export async function persist() {
	try {
		return await navigator.storage.persist();
	} catch {
		return false;
	}
}

// canKeep says whether a browser lets anything be kept here.
export const canKeep = () => self.isSecureContext && "indexedDB" in self && "randomUUID" in crypto;

// update changes an entry unless it was changed meanwhile.
const update = (id, rev, change) => write((entries) => {
	const request = entries.get(id);
	request.onsuccess = () => {
		const entry = request.result;
		if (entry && entry.rev === rev) entries.put({ ...entry, ...change, rev: rev + 1 });
	};
});

// body is what is sent of an entry: the same each time, so that a repeat is one.
const body = (e) => ({ form: 1, id: e.id, club: e.club, member: e.member, ...e.fields });

// ask sends a batch and gives the server's own answer, or throws. Anything that is not
// that, as a redirect, a page, or what a network that wants paying says, means unsent.
async function ask(entries) {
	const answer = await fetch(address, {
		method: "POST", redirect: "error", cache: "no-store", credentials: "same-origin",
		headers: { "Content-Type": "application/json" }, signal: AbortSignal.timeout(patience),
		body: JSON.stringify({ sent: new Date().toISOString(), entries: entries.map(body) }),
	});
	if (!(answer.headers.get("Content-Type") ?? "").startsWith("application/json")) throw new Error("no answer of ours");
	const said = await answer.json();
	if (answer.status === 401) return { signedOut: true };
	if (answer.status !== 200 || !Array.isArray(said.entries) || typeof said.epoch !== "string") throw new Error("no answer of ours");
	return said;
}

async function settle(entries, said) {
	for (const a of said.entries) {
		const e = entries.find((x) => x.id === a.id);
		if (!e) continue;
		if (a.state === "in the book" || a.state === "needs mending") {
			await update(e.id, e.rev, { state: a.state, why: a.why, says: a.says, ask: a.ask, odd: a.odd, epoch: said.epoch, settled: Date.now() });
		} else {
			await update(e.id, e.rev, { why: a.why });
		}
	}
}

// again marks what went into a book that has been put back to an older state since: it is
// offered once more, and where the book has it that changes nothing.
async function again(me, epoch) {
	let any = false;
	for (const e of await all()) {
		if (mine(me, e) && e.state !== "kept" && e.epoch !== epoch) {
			await update(e.id, e.rev, e.photo ? { state: "kept", photoState: "kept" } : { state: "kept" });
			any = true;
		}
	}
	return any;
}

const mine = (me, e) => e.member === me.member && e.club === me.club;

// askPhotograph sends an entry's photograph, once the entry is in the book.
async function askPhotograph(e) {
	const form = new FormData();
	form.append("photograph", e.photo, "board.jpg");
	const answer = await fetch(`${address}/${e.id}/photograph`, {
		method: "POST", redirect: "error", cache: "no-store", credentials: "same-origin", signal: AbortSignal.timeout(photoPatience), body: form,
	});
	if (!(answer.headers.get("Content-Type") ?? "").startsWith("application/json")) throw new Error("no answer of ours");
	const said = await answer.json();
	if (answer.status === 401) return { signedOut: true };
	if (answer.status !== 200 || said.id !== e.id || !["in the book", "needs mending"].includes(said.state)) throw new Error("no answer of ours");
	return said;
}

async function sendPhotographs(me) {
	for (const e of await all()) {
		if (!mine(me, e) || e.state !== "in the book" || e.photoState !== "kept") continue;
		const said = await askPhotograph(e);
		if (said.signedOut) return said;
		await update(e.id, e.rev, { photoState: said.state, photoWhy: said.why });
	}
	return {};
}

// send offers everything of this member's that is not in the book. It says what came of it.
export async function send(me) {
	await forgetOld();
	for (let round = 0; round < 50; round++) {
		const entries = (await all()).filter((e) => mine(me, e));
		const due = entries.filter((e) => e.state === "kept").slice(0, batchMost);
		if (due.length === 0 && (round > 0 || entries.length === 0)) break;
		const said = await ask(due);
		if (said.signedOut) return said;
		await settle(due, said);
		if (!await again(me, said.epoch) && !due.some((e) => said.entries.some((a) => a.id === e.id && a.state !== "not taken"))) break;
	}
	return sendPhotographs(me);
}

async function forgetOld() {
	for (const e of await all()) {
		if (e.state === "in the book" && e.photoState !== "kept" && Date.now() - e.settled > sentFor) await drop(e.id);
	}
}
