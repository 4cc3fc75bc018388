"use strict";
// What is typed is sent as it is typed, to be calculated, and again when the field is left, to
// be saved. The answer is the page as it then is: what is live in it is put in place, and all of it
// where other fields came or went. While something is wrong the last good answer stands.
(() => {
	const main = () => document.getElementById("main");
	const say = text => { document.getElementById("said").textContent = text; };
	if (!main()) return;

	// Forms are sent from here: a browser that is to tell no referrer sends them as from nowhere, and
	// those are refused.
	document.addEventListener("submit", async e => {
		e.preventDefault();
		if (e.target.dataset.path) { // it becomes an entry of a list: its fields are the keys
			const unit = f => f.dataset.unit && !/[^-\d.,\s]/.test(f.value) ? f.dataset.unit : "";
			save([...e.target.elements].filter(f => f.dataset.key && f.value).map(f => [e.target.dataset.path + "." + f.dataset.key, f.value + unit(f)]));
			return;
		}
		const form = new FormData(e.target, e.submitter);
		try {
			const answer = await fetch(e.target.action, {method: "POST", body: new URLSearchParams(form), credentials: "same-origin"});
			if (answer.redirected) { location.assign(answer.url); return; }
			if (await put(answer)) { if (main().dataset.file) location.assign(main().dataset.address + "?view=" + main().dataset.view); }
		} catch { say("The desk does not answer: is it still running?"); }
	});

	let turn = 0;          // of what was sent to be tried; older answers come too late
	let queue = Promise.resolve(); // saves follow each other

	const body = edits => {
		const m = main().dataset, form = new URLSearchParams({file: m.file, mark: m.mark, view: m.view});
		for (const [path, value] of edits) { form.append("path", path); form.append("value", value); }
		return form;
	};
	// post sends a form. The address keeps what the page was asked for, as which item is shown.
	const post = (where, form) => fetch(where + location.search, {method: "POST", body: form, credentials: "same-origin"});

	const names = root => [...root.querySelectorAll("[data-edit]")].map(f => f.name || f.dataset.set).join("\n");

	const put = async answer => {
		const text = await answer.text();
		if (answer.headers.get("Content-Type").startsWith("application/json")) { wrong(JSON.parse(text)); return false; }
		const page = new DOMParser().parseFromString(text, "text/html"), now = page.getElementById("main");
		if (!answer.ok && answer.status !== 409 || !now) { wrong([{field: "", what: now ? now.textContent.trim() : page.body.textContent.trim(), remedy: ""}]); return false; }
		if (answer.status === 409) { main().replaceWith(document.adoptNode(now)); scrollTo(0, 0); return false; }
		right();
		const m = main();
		m.dataset.mark = now.dataset.mark;
		for (const hidden of m.querySelectorAll("input[name=mark]")) hidden.value = now.dataset.mark;
		if (names(m) === names(now)) {
			for (const part of m.querySelectorAll("[data-live]")) {
				const other = now.querySelector("#" + CSS.escape(part.id));
				if (other && part.innerHTML !== other.innerHTML) part.innerHTML = other.innerHTML;
			}
			const fields = [...now.querySelectorAll("[data-edit]")];
			[...m.querySelectorAll("[data-edit]")].forEach((f, i) => {
				const other = fields[i];
				if (f.hasAttribute("aria-pressed")) f.setAttribute("aria-pressed", other.getAttribute("aria-pressed"));
				if ("set" in f.dataset) f.dataset.set = other.dataset.set;
				if (f !== document.activeElement && f.value !== other.value) f.value = other.value;
				if (f !== document.activeElement) f.defaultValue = other.defaultValue;
			});
			placed();
			return true;
		}
		const at = document.activeElement, name = at && (at.name || at.id), from = at && at.selectionStart, y = scrollY;
		m.replaceWith(document.adoptNode(now));
		document.title = page.title;
		const again = name && (now.querySelector("[name=" + CSS.escape(name) + "]") || document.getElementById(name));
		if (!again && name) { now.tabIndex = -1; now.focus({preventScroll: true}); } // what had the focus is gone
		if (again) { again.focus({preventScroll: true}); try { again.setSelectionRange(from, from); } catch { /* no text */ } }
		scrollTo(scrollX, y);
		placed();
		return true;
	};

	const fieldOf = name => name && (main().querySelector("[data-edit][name=" + CSS.escape(name) + "]") || main().querySelector("[data-real=" + CSS.escape(name) + "]"));
	// editsOf is what a field sets: with it goes all that stands in a new row, which is one entry.
	const editsOf = f => {
		const mine = g => [g.dataset.path || g.name, g.value + (g.dataset.unit || "")];
		const row = f.closest("tr[data-new]");
		return row ? [...row.querySelectorAll("[data-edit][name]")].filter(g => g === f || g.type !== "range" && g.value && (g.dataset.path || g.name) !== (f.dataset.path || f.name)).map(mine) : [mine(f)];
	};
	const right = () => {
		main().classList.remove("stale");
		for (const f of main().querySelectorAll(".error")) f.remove();
		for (const f of main().querySelectorAll("[aria-invalid]")) { f.removeAttribute("aria-invalid"); f.removeAttribute("aria-describedby"); f.closest(".field")?.classList.remove("bad"); }
	};
	// atField puts an error at its field, where the page has one.
	const atField = (name, text) => {
		const field = fieldOf(name);
		if (!field || field.getAttribute("aria-invalid")) return !!field;
		const error = document.createElement("span");
		error.className = "error"; error.id = "error-" + document.querySelectorAll(".error").length; error.textContent = text;
		field.setAttribute("aria-invalid", "true"); field.setAttribute("aria-describedby", error.id);
		field.closest(".field")?.classList.add("bad");
		field.after(error);
		if (field === document.activeElement) say(text);
		return true;
	};
	// wrong puts each fault at its field, or above all where it has none here.
	const wrong = faults => {
		right();
		main().classList.add("stale");
		const list = document.createElement("ul");
		for (const f of faults) {
			const text = f.what + (f.remedy ? ": " + f.remedy : "");
			if (atField(f.field, text)) continue;
			const line = document.createElement("li");
			line.textContent = (f.where ? f.where + ": " : "") + text;
			list.append(line);
		}
		document.getElementById("wrong")?.replaceChildren(...(list.children.length ? [list] : []));
	};
	// placed does so with those that a page came with.
	const placed = () => {
		for (const line of main().querySelectorAll("#wrong li[data-field]"))
			if (atField(line.dataset.field, line.querySelector("span").textContent)) line.remove();
		const list = main().querySelector("#wrong ul");
		if (list && !list.children.length) list.remove();
	};

	const tryOut = async edits => {
		const mine = ++turn;
		try {
			const answer = await post("/try", body(edits));
			if (mine === turn) await put(answer);
		} catch { say("The desk does not answer: is it still running?"); }
	};
	const save = edits => queue = queue.then(async () => {
		++turn;
		try {
			if (await put(await post("/save", body(edits)))) { say("Saved"); for (const [p, v] of edits) { const f = fieldOf(p); if (f) f.defaultValue = v; } }
		} catch { say("Not saved: the desk does not answer. What you typed still stands here."); }
	});

	document.addEventListener("input", e => {
		const ask = e.target.closest("[data-ask]");
		if (ask) { // it goes into the address, which is then that of the answer
			const at = new URL(location.href);
			if (ask.value) at.searchParams.set(ask.dataset.ask, ask.value); else at.searchParams.delete(ask.dataset.ask);
			history.replaceState(null, "", at);
			tryOut([]);
			return;
		}
		const slides = e.target.dataset.slides; // the price that a slider moves, which it does in the smallest coins
		if (slides) {
			const price = document.getElementById(slides), figure = (e.target.value / 10 ** e.target.dataset.digits).toFixed(e.target.dataset.digits);
			price.value = main().dataset.comma ? figure.replace(".", ",") : figure;
			e.target.setAttribute("aria-valuetext", price.value + price.dataset.unit);
			price.dispatchEvent(new Event("input", {bubbles: true}));
			return;
		}
		const f = e.target.closest("[data-edit]");
		if (!f || !f.name) return;
		const twin = f.dataset.twin && fieldOf(f.dataset.twin); // a slider and its number
		tryOut(editsOf(f));
		if (twin) twin.value = f.value + (f.dataset.unit || "");
	});
	document.addEventListener("change", e => {
		const f = e.target.closest("[data-edit]");
		if (f && f.name && f.type !== "button") save(editsOf(f));
	});
	document.addEventListener("click", e => {
		const b = e.target.closest("button[data-set]");
		if (b) { e.preventDefault(); save(JSON.parse(b.dataset.set)); return; }
		if (e.target.closest("[data-undo]")) undo();
	});
	const undo = () => queue = queue.then(async () => {
		const at = document.activeElement;
		if (at && at.matches("[data-edit]")) at.blur(); // what was taken back is shown there, too
		try {
			if (await put(await post("/undo", body([])))) say("Taken back");
		} catch { say("The desk does not answer: is it still running?"); }
		if (at && at.isConnected) at.focus({preventScroll: true});
	});

	// In a grid Enter goes down, arrows up and down; pasted cells fill it from where one stands.
	const cellsOf = table => [...table.tBodies].flatMap(b => [...b.rows]).map(r => [...r.querySelectorAll("[data-edit][name]:not([type=range])")]).filter(r => r.length);
	document.addEventListener("keydown", e => {
		const f = e.target;
		if ((e.ctrlKey || e.metaKey) && !e.shiftKey && e.key === "z" && (!f.matches("input, textarea") || f.value === f.defaultValue && !f.closest("form"))) { e.preventDefault(); undo(); return; }
		if (e.key === "Escape" && f.matches("[data-edit]") && f.value !== f.defaultValue) { f.value = f.defaultValue; tryOut([]); return; }
		const table = f.matches("input") && f.closest("table.grid");
		const step = {Enter: 1, ArrowDown: 1, ArrowUp: -1}[e.key];
		if (!table || !step || f.type === "range") return;
		const rows = cellsOf(table), at = rows.findIndex(r => r.includes(f)), to = rows[at + step];
		if (to) { e.preventDefault(); const g = to[Math.min(rows[at].indexOf(f), to.length - 1)]; g.focus(); g.select?.(); }
	});
	document.addEventListener("paste", e => {
		const table = e.target.matches("input") && e.target.closest("table.grid"), text = e.clipboardData.getData("text/plain");
		if (!table || !/[\t\n]/.test(text.replace(/\r?\n$/, ""))) return;
		e.preventDefault();
		const rows = cellsOf(table), at = rows.findIndex(r => r.includes(e.target)), column = rows[at].indexOf(e.target), edits = [];
		const list = table.dataset.list, keys = (table.dataset.keys || "").split(" "), have = Number(table.dataset.rows || rows.length);
		text.replace(/\r?\n$/, "").split(/\r?\n/).forEach((row, i) => row.split("\t").forEach((cell, j) => {
			const f = rows[at + i] && at + i < have ? rows[at + i][column + j] : null;
			if (f) edits.push([f.name, cell]);
			else if (list && at + i >= have && keys[column + j]) edits.push([list + "[" + (at + i) + "]." + keys[column + j], cell]);
		}));
		save(edits);
	});

	if (!main().dataset.file) return;
	placed();
	// The file may be changed by others while it is shown. A page that is not seen does not listen: a
	// browser keeps few ways open to one server, and would have none left for the others.
	let events = null;
	const listen = () => {
		events?.close();
		events = null;
		if (document.hidden) return;
		events = new EventSource("/events" + main().dataset.address.replace(/^\/haul/, ""));
		events.addEventListener("file", async e => {
			await queue;
			if (!main().dataset.mark || e.data === main().dataset.mark) return;
			const dirty = [...main().querySelectorAll("[data-edit]")].some(f => f === document.activeElement && f.value !== f.defaultValue);
			if (dirty) { say("The file was changed elsewhere. What you type is kept apart when you leave the field."); return; }
			say("The file was changed elsewhere; this is how it is now.");
			put(await fetch(location.pathname + location.search));
		});
	};
	document.addEventListener("visibilitychange", listen);
	addEventListener("pagehide", () => events?.close());
	listen();
})();
