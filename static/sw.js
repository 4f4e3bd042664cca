// Opens the page of recording with no signal. The server puts before this file:
// VERSION, which changes with every file kept; PAGE, the page's address; FILES, what it
// needs. Anything else is left to the network.

const shell = `levelpeg-shell-${VERSION}`;
const pages = `levelpeg-page-${VERSION}`;

// ours says whether an answer is this server's own page: not a redirect, not what a
// network that wants paying says in its place.
const mark = (answer) => (answer.type === "basic" && answer.status === 200 && answer.headers.get("Levelpeg-Page")) || "";
const ours = (answer) => mark(answer) !== "";

async function install() {
	const cache = await caches.open(shell);
	await cache.addAll(FILES);
	const page = await fetch(PAGE, { cache: "no-store", redirect: "manual" });
	// Without its page the worker before this one serves better.
	if (mark(page) !== VERSION) throw new Error("no page to keep");
	await (await caches.open(pages)).put(PAGE, page);
	await self.skipWaiting();
}

async function activate() {
	for (const name of await caches.keys()) {
		if (name.startsWith("levelpeg-") && name !== shell && name !== pages) await caches.delete(name);
	}
	await self.clients.claim();
}

// patience is how long a weak signal is waited for before the kept page opens.
const patience = 2500;

async function open(event) {
	const kept = await (await caches.open(pages)).match(PAGE);
	const asked = fetch(event.request).then(async (answer) => {
		if (mark(answer) === VERSION && !new URL(event.request.url).search) {
			await (await caches.open(pages)).put(PAGE, answer.clone());
		}
		return answer;
	});
	if (!kept) return asked;
	event.waitUntil(asked.catch(() => null));
	const slow = new Promise((done) => setTimeout(done, patience, null));
	const answer = await Promise.race([asked.catch(() => null), slow]);
	return answer && ours(answer) ? answer : kept;
}

async function file(request) {
	return (await caches.match(request)) ?? fetch(request);
}

self.addEventListener("install", (e) => e.waitUntil(install()));
self.addEventListener("activate", (e) => e.waitUntil(activate()));
self.addEventListener("fetch", (e) => {
	const at = new URL(e.request.url);
	if (e.request.method !== "GET" || at.origin !== location.origin) return;
	if (e.request.mode === "navigate") {
		if (at.pathname === PAGE) e.respondWith(open(e));
	} else if (FILES.includes(at.pathname)) {
		e.respondWith(file(e.request));
	}
});
