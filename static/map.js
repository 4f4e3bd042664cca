// A map of pegs. Without tiles it is a drawing of points; without this file the list
// beside it says where they are.
const box = document.querySelector(".map");
const L = window.L;

// marker is a peg's number in a spot.
function marker(point) {
	const icon = document.createElement("span");
	icon.textContent = point.label;
	return L.divIcon({ className: "pin", html: icon, iconSize: [48, 48], iconAnchor: [24, 24] });
}

// escaped is text for where the library takes markup.
function escaped(text) {
	const e = document.createElement("span");
	e.textContent = text;
	return e.innerHTML;
}

function draw() {
	const points = JSON.parse(box.dataset.points) ?? [];
	const edit = "edit" in box.dataset;
	const placed = points.filter((p) => p.lat !== null);
	// With no background and no peg on it there is nothing to tap at yet.
	const bare = edit && !box.dataset.tiles && placed.length === 0;
	box.hidden = bare;
	const map = L.map(box, { attributionControl: false, zoomSnap: 0.5 });
	L.control.attribution({ prefix: false }).addTo(map);
	L.control.scale({ imperial: false }).addTo(map);
	if (box.dataset.tiles) {
		L.tileLayer(box.dataset.tiles, { maxZoom: 19, attribution: escaped(box.dataset.credit) }).addTo(map);
	}
	const pins = new Map();
	const put = (p, at) => {
		if (box.hidden) {
			box.hidden = false;
			map.invalidateSize();
			map.setView(at, 16);
		}
		const pin = pins.get(p.code);
		if (pin) return void pin.setLatLng(at);
		const fresh = L.marker(at, { icon: marker(p), draggable: edit, title: "Peg " + p.label, alt: "Peg " + p.label }).addTo(map);
		pins.set(p.code, fresh);
		const press = edit ? () => choose(p) : () => { location.href = p.href; };
		fresh.on("click", press);
		fresh.on("keypress", (e) => { if (e.originalEvent.key === "Enter") press(); });
		if (edit) fresh.on("dragend", () => { write(p, fresh.getLatLng()); thin(); });
	};
	// A number that would lie over another is left out, until the map is nearer.
	const thin = () => {
		const shown = [];
		for (const p of points) {
			const pin = pins.get(p.code);
			if (!pin) continue;
			const at = map.latLngToContainerPoint(pin.getLatLng());
			const clear = shown.every((o) => Math.abs(o.x - at.x) > 52 || Math.abs(o.y - at.y) > 24);
			pin.getElement().firstChild.textContent = clear ? p.label : "";
			pin.setZIndexOffset(clear ? 1000 : 0); // a tap between two is for the one with its number
			if (clear) shown.push(at);
		}
	};
	for (const p of placed) put(p, [p.lat, p.lon]);
	if (placed.length > 1) {
		map.fitBounds(placed.map((p) => [p.lat, p.lon]), { padding: [32, 32], maxZoom: 18 });
	} else if (placed.length === 1) {
		map.setView([placed[0].lat, placed[0].lon], 16);
	} else {
		map.setView([54, -2], 5);
	}
	map.on("zoomend", thin);
	thin();
	if (!edit) return;

	// To place a peg, its row is chosen and the map tapped; what is typed moves it, too.
	const say = document.querySelector("[data-map-say]");
	const row = (p) => document.querySelector(`tr[data-code="${CSS.escape(p.code)}"]`);
	let chosen = null;
	function choose(p) {
		chosen = p;
		say.hidden = false;
		say.textContent = box.hidden
			? `Type where peg ${p.label} is. The map then begins there, and the others may be tapped.`
			: `Tap the map where peg ${p.label} is, or drag its number there.`;
		for (const r of document.querySelectorAll("tr[data-code]")) r.classList.toggle("on", r.dataset.code === p.code);
	}
	function write(p, at) {
		const [lat, lon] = row(p).querySelectorAll("input");
		lat.value = at.lat.toFixed(6);
		lon.value = at.wrap().lng.toFixed(6);
	}
	map.on("click", (e) => {
		if (!chosen) return;
		write(chosen, e.latlng);
		put(chosen, e.latlng);
		thin();
		const next = points.find((p) => !pins.has(p.code));
		if (next) choose(next);
	});
	for (const p of points) {
		row(p).addEventListener("focusin", () => choose(p));
		row(p).addEventListener("change", () => {
			const [lat, lon] = [...row(p).querySelectorAll("input")].map((i) => i.value.trim().replace(",", "."));
			if (lat && lon && Math.abs(lat) <= 90 && Math.abs(lon) <= 180) { put(p, [+lat, +lon]); thin(); }
		});
	}
	const first = points.find((p) => p.lat === null) ?? points[0];
	if (first) choose(first);
}

if (box && L) draw();
