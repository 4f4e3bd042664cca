// Answers from venues saved on this phone where the network is gone or slow. The server
// puts before this file: RELEASE, which changes with the program and every file; PROGRAM
// and its SUM; FILES, what pages need; ASSETS, as the program is told of them; and Go's own
// way to start a program. Nothing of a page is ever kept: the program makes each anew.

const records = "levelpeg.saved"; // one record of what is saved, for each release
const programs = `levelpeg.saved.program.${RELEASE}`;
const recordOf = (release) => `/saved/record/${release}`;
const fileOf = (slug) => `/saved/venue/${slug}`;

// patience is how long a weak signal is waited for, and how long where it was weak a
// moment ago; and how old what is saved may be before it is fetched anew.
const patience = 3000, impatience = 400, weakFor = 60e3, oldAfter = 10 * 60e3;
let weakSince = 0;

async function recordIn(release) {
	const r = await caches.match(recordOf(release), { cacheName: records });
	return r ? r.json() : null;
}

// record is what is saved: one small record names it, so that putting it is the step from
// one state to the next.
const record = () => recordIn(RELEASE);
const putRecord = async (r) => (await caches.open(records)).put(recordOf(RELEASE), new Response(JSON.stringify(r)));

const hex = (bytes) => [...new Uint8Array(bytes)].map((b) => b.toString(16).padStart(2, "0")).join("");

// needProgram fetches the program and the pages' files, once a release. Each is whole
// before it is kept, and the last thing kept says that all are.
async function needProgram() {
	const into = await caches.open(programs);
	if (await into.match("/saved/whole")) return;
	for (const path of [PROGRAM, ...FILES]) {
		const got = await fetch(path);
		if (!got.ok) throw new Error(`${path}: ${got.status}`);
		const body = await got.arrayBuffer();
		if (path === PROGRAM && hex(await crypto.subtle.digest("SHA-256", body)) !== SUM) throw new Error("another program");
		await into.put(path, new Response(body, { headers: { "Content-Type": got.headers.get("Content-Type") } }));
	}
	await into.put("/saved/whole", new Response(""));
}

// fetchVenue gives a venue's file; null where it is not this reader's any more.
async function fetchVenue(slug) {
	const got = await fetch(`/venues/${slug}/saved.json`, { cache: "no-store", redirect: "error", credentials: "same-origin" });
	if (got.status === 403 || got.status === 404) return null;
	if (!got.ok) throw new Error(`${slug}: ${got.status}`);
	if (got.headers.get("Levelpeg-Release") !== RELEASE) {
		await self.registration.update();
		throw new Error("the server has another release");
	}
	return got.text();
}

// keepAll saves venues: all of one moment and one reader, under a new name, and then the
// record is switched.
async function keepAll(slugs) {
	await needProgram();
	const data = `levelpeg.saved.data.${crypto.randomUUID()}`;
	const venues = [];
	try {
		const into = await caches.open(data);
		for (const slug of slugs) {
			const text = await fetchVenue(slug);
			if (text === null) continue;
			const v = JSON.parse(text);
			venues.push({ slug, name: v.venue.name, at: v.saved_at, level: v.level, pegs: v.pegs.length, bytes: text.length, member: v.member?.id ?? 0 });
			await into.put(fileOf(slug), new Response(text, { headers: { "Content-Type": "application/json" } }));
		}
		if (new Set(venues.map((v) => v.member)).size > 1) throw new Error("somebody else signed in meanwhile");
		await putRecord({ data, venues, locked: false });
	} catch (e) {
		await caches.delete(data);
		throw e;
	}
	if (venues.length === 0) await throwAway();
	else await tidy(data);
}

// tidy lets go of data that no record names.
async function tidy(data) {
	for (const name of await caches.keys()) {
		if (name.startsWith("levelpeg.saved.data.") && name !== data) await caches.delete(name);
	}
}

async function throwAway() {
	program = null;
	for (const name of await caches.keys()) {
		if (name.startsWith("levelpeg.saved")) await caches.delete(name);
	}
}

// One thing after the other.
let line = Promise.resolve();
function inLine(job) {
	const done = line.then(job);
	line = done.catch(() => {});
	return done;
}

const save = (slug) => inLine(async () => keepAll([...new Set([...((await record())?.venues ?? []).map((v) => v.slug), slug])]));
const update = (age) => inLine(async () => {
	const r = await record();
	if (r && (r.locked || r.venues.some((v) => Date.now() - Date.parse(v.at) > age))) await keepAll(r.venues.map((v) => v.slug));
});
const drop = (slug) => inLine(async () => {
	const r = await record();
	const venues = (r?.venues ?? []).filter((v) => v.slug !== slug);
	if (venues.length === 0) return throwAway();
	await putRecord({ ...r, venues });
	await (await caches.open(r.data)).delete(fileOf(slug));
});

// lock keeps what is saved shut until it is known whose it is: somebody signs in or out.
const lock = (path) => inLine(async () => {
	if (path === "/sign-out" || path === "/me/remove") return throwAway();
	const r = await record();
	if (r) await putRecord({ ...r, locked: true });
});

// The program: started once, and given other venues when those change.

let program = null, starting = null, has = "";

async function start() {
	const go = new Go();
	const kept = await caches.match(PROGRAM, { cacheName: programs });
	if (!kept) throw new Error("no program is saved");
	const { instance } = await WebAssembly.instantiateStreaming(kept, go.importObject);
	const ready = new Promise((done) => { globalThis.levelpegReady = done; });
	go.run(instance).finally(() => { program = null; has = ""; });
	return ready;
}

const named = (r) => JSON.stringify([r.data, r.venues.map((v) => v.slug)]);

async function filesOf(r) {
	const files = [];
	for (const v of r.venues) {
		const kept = await caches.match(fileOf(v.slug), { cacheName: r.data });
		if (!kept) throw new Error("not all is saved");
		files.push(new Uint8Array(await kept.arrayBuffer()));
	}
	return files;
}

async function running(r) {
	starting ??= (async () => {
		if (program && has === named(r)) return;
		const [files, started] = await Promise.all([filesOf(r), program ?? start()]);
		const wrong = started.load(JSON.stringify({ address: location.origin, assets: ASSETS }), files);
		if (wrong) throw new Error(wrong);
		program = started;
		has = named(r);
	})().finally(() => { starting = null; });
	await starting;
	return program;
}

// bySelf answers a request from what is saved.
async function bySelf(request, r) {
	const p = await running(r);
	const a = p.answer(request.method, request.url);
	return new Response(a.status === 204 || a.status === 304 ? null : a.body, { status: a.status, headers: a.headers });
}

// ours says whether an answer is this server's: a network that wants paying answers, too.
const ours = (a) => a.type === "opaqueredirect" || a.headers.has("Content-Security-Policy");
const gone = (a) => !ours(a) || [502, 503, 504].includes(a.status);
const wait = (ms) => new Promise((done) => { setTimeout(done, ms, null); });

async function answer(e) {
	const r = await record();
	if (!r) return fetch(e.request);
	const byPhone = () => bySelf(e.request, r).catch((why) => { console.error("levelpeg:", why); return null; });
	if (!navigator.onLine && !r.locked) {
		// There is no network at all, so none is waited for.
		const mine = await byPhone();
		if (mine && mine.status !== 503) return mine;
	}
	const asked = fetch(e.request).then((a) => ({ a }), (error) => ({ error }));
	if (r.locked) {
		const got = await asked;
		if (got.error) throw got.error;
		e.waitUntil(update(0).catch(() => {}));
		return got.a;
	}
	const soon = await Promise.race([asked, wait(Date.now() - weakSince < weakFor ? impatience : patience)]);
	if (soon?.a && !gone(soon.a)) {
		weakSince = 0;
		e.waitUntil(update(oldAfter).catch(() => {}));
		return soon.a;
	}
	weakSince = Date.now();
	const mine = await byPhone();
	// What is not saved is waited for, where there is anything to wait for.
	const got = mine && (soon || mine.status !== 503) ? null : await asked;
	if (got?.a && !(mine && gone(got.a))) return got.a;
	if (mine) return mine;
	throw got.error;
}

// unseen stands in for a photograph: what is saved says what they show, and no more.
const unseen = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 150"><path fill="#e8e6df" d="M0 0h200v150H0z"/><text x="100" y="80" text-anchor="middle" font-family="sans-serif" font-size="18" fill="#1f2a2e">needs signal</text></svg>`;

async function picture(request) {
	const got = await fetch(request).catch((error) => ({ error }));
	if (!got.error && !gone(got)) return got;
	if (await record()) return new Response(unseen, { headers: { "Content-Type": "image/svg+xml", "Cache-Control": "no-store" } });
	if (got.error) throw got.error;
	return got;
}

async function file(request) {
	const path = new URL(request.url).pathname;
	return (await caches.match(path, { cacheName: programs })) ?? fetch(request);
}

async function install() {
	for (const r of await others()) {
		if (r.venues.length > 0) await keepAll(r.venues.map((v) => v.slug));
	}
	await self.skipWaiting();
}

// others are the records of other releases: of the one before.
async function others() {
	if (!await caches.has(records)) return [];
	const cache = await caches.open(records), out = [];
	for (const key of await cache.keys()) {
		if (new URL(key.url).pathname !== recordOf(RELEASE)) out.push(await (await cache.match(key)).json());
	}
	return out;
}

async function activate() {
	const r = await record();
	if (await caches.has(records)) {
		const cache = await caches.open(records);
		for (const key of await cache.keys()) {
			if (new URL(key.url).pathname !== recordOf(RELEASE)) await cache.delete(key);
		}
	}
	for (const name of await caches.keys()) {
		if (name.startsWith("levelpeg.saved.") && name !== programs && name !== r?.data) await caches.delete(name);
	}
	await self.clients.claim();
}

const asks = {
	state: async () => {},
	save: (d) => save(d.venue),
	drop: (d) => drop(d.venue),
	update: (d) => update(d.age ?? oldAfter),
	throw: () => inLine(throwAway),
};

const answered = /^\/(venues|gauges|rig|kit|p|find|guide|knots|words|saved)(\/|\.|$)/;
const signing = /^\/(sign-in|sign-out|join|me)(\/|$)/;

self.addEventListener("install", (e) => e.waitUntil(install()));
self.addEventListener("activate", (e) => e.waitUntil(activate()));
self.addEventListener("message", (e) => {
	const port = e.ports[0];
	e.waitUntil(Promise.resolve(asks[e.data.ask]?.(e.data)).then(async () => {
		port?.postMessage({ record: await record() });
	}, async (why) => {
		port?.postMessage({ error: String(why?.message ?? why), record: await record() });
	}));
});
self.addEventListener("fetch", (e) => {
	const { request } = e, at = new URL(request.url);
	if (at.origin !== location.origin) return;
	if (request.method !== "GET") {
		if (signing.test(at.pathname)) e.waitUntil(lock(at.pathname));
		else if (request.mode === "navigate") e.respondWith(answer(e));
		return;
	}
	if (FILES.includes(at.pathname)) e.respondWith(file(request));
	else if (request.destination === "image" && at.pathname.startsWith("/pictures/")) e.respondWith(picture(request));
	else if (request.mode === "navigate" || answered.test(at.pathname) && !at.pathname.endsWith("/saved.json")) e.respondWith(answer(e));
});
