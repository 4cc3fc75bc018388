"use strict";
// What is typed is sent as it is typed, to be calculated, and again when the field is left, to
// be saved. The answer is the page as it then is. Of one that was only tried what is live is put in
// place; of one that was saved the fields, too, and all of it where others came or went. What is typed
// and not saved yet stays as it is through all of that. While something is wrong the last good
// answer stands.
(() => {
	const main = () => document.getElementById("main");
	// What is said leaves the sight after a while; what is wrong stays.
	const say = (text, wrong) => {
		const line = document.createElement("span");
		line.textContent = text;
		if (wrong) line.className = "bad";
		document.getElementById("said").replaceChildren(line);
	};
	// strips shows where one is in a list of pages that is wider than a phone.
	const strips = () => document.querySelectorAll("nav [aria-current]").forEach(a => { a.parentElement.scrollLeft = a.offsetLeft - (a.parentElement.clientWidth - a.offsetWidth) / 2; });
	strips();
	document.addEventListener("focusin", e => { if (e.target.closest("nav")) e.target.scrollIntoView({block: "nearest", inline: "nearest"}); });
	if (!main()) return;

	// One thing is asked at a time, in order: an answer is that to what was asked last, by a page that
	// knows of all before. What was to be tried gives way to anything newer.
	let queue = Promise.resolve(), turn = 0, trying = null, searching = null, saving = 0;
	const inTurn = (work, failed) => queue = queue.then(work).catch(e => { if (e.name !== "AbortError") say(failed || "The desk does not answer: is it still running?", true); });
	const newer = () => { trying?.abort(); searching?.abort(); return ++turn; };
	// writes asks for what is kept: nobody leaves the page by a link before it is.
	const writes = (work, failed) => { newer(); saving++; return inTurn(work, failed).finally(() => saving--); };

	const body = edits => {
		const m = main().dataset, form = new URLSearchParams({file: m.file, mark: edits.map(([path]) => find(path)?.dataset.since).find(Boolean) || m.mark, view: m.view});
		for (const [path, value] of edits) { form.append("path", path); form.append("value", value); }
		return form;
	};
	// post sends a form. The address keeps what the page was asked for, as which item is shown.
	const post = (where, form, signal) => fetch(where + location.search, {method: "POST", body: form, credentials: "same-origin", signal, keepalive: !signal && String(form).length < 60000});

	const named = root => [...root.querySelectorAll("[data-edit]")];
	// names tell whether two pages have the same fields and places, and differ in what stands there alone.
	const names = root => [...root.querySelectorAll("[data-edit], [data-ask], [data-live]")].map(f => f.name || f.dataset.set || f.id).join("\n");
	// pathOf is what a field sets, as a slider and its number do together, and sent the value for it.
	const pathOf = f => f.dataset.path || f.name;
	const sent = f => f.value + (f.dataset.unit || "");
	// before is what stood in a field when it came; touched is that something else was typed.
	const before = f => f.matches("select") ? ([...f.options].find(o => o.defaultSelected) || f.options[0])?.value : f.defaultValue;
	const touched = f => f.type === "range" ? !!f.dataset.path && touched(find(f.dataset.path)) : f.matches("input:not([type=hidden]), select, textarea") && f.value !== before(f);
	const settle = (f, value) => {
		if (f.matches("select")) for (const o of f.options) o.defaultSelected = o.value === value; else f.defaultValue = value;
		if (f.value !== value) f.value = value;
	};
	const inputs = root => [...root.querySelectorAll("input, select, textarea")];
	// typed are the fields in which something stands that is not saved.
	const typed = () => inputs(main()).filter(f => f.type !== "range" && touched(f) && keyOf(f));
	// since has what is typed in a field saved as a change to the file that it was typed over: where another
	// one changed the same by now, both versions are shown.
	const since = (f, mark) => { if (mark && mark !== main().dataset.mark) f.dataset.since ||= mark; };

	const inRow = (path, root) => {
		for (const table of root.querySelectorAll("[data-list]")) {
			const list = table.dataset.list, [, row, key] = path.startsWith(list + "[") && path.slice(list.length).match(/^\[(\d+)\]\.(.+)$/) || [];
			if (key) return table.tBodies[0].rows[row]?.querySelector("[data-edit][name$=" + CSS.escape("." + key) + "]");
		}
	};
	// find is the field of a path: by its name, by what it stands for, or by its row, which was new when
	// the path was made and is named by now.
	const find = (path, root = main()) => {
		if (!path) return null;
		const name = CSS.escape(path);
		return root.querySelector("[data-edit][name=" + name + "]") || root.querySelector("[data-real=" + name + "]") || inRow(path, root);
	};
	// keyOf is what a field sets: of one of a form that is to become an entry the path of its value there.
	const keyOf = f => f.form?.dataset.path && f.dataset.key ? f.form.dataset.path + "." + f.dataset.key : f.dataset.edit !== undefined || f.matches("textarea") ? f.name : "";
	// fieldAt is the field that sets a path, as one that a fault is about.
	const fieldAt = name => find(name) || [...main().querySelectorAll("[data-key], textarea")].find(f => keyOf(f) === name);
	// fieldsOf are all that set a path.
	const fieldsOf = path => { const f = find(path); return f ? named(main()).filter(g => g.name && pathOf(g) === pathOf(f)) : []; };
	// twinOf is the element of another page of the haul that stands for the same.
	const twinOf = (f, root) => {
		if (f.dataset.edit !== undefined && f.name) return find(f.name, root);
		if (f.id) return root.querySelector("#" + CSS.escape(f.id));
		const form = f.form?.dataset.path, key = f.dataset.key;
		return form && key ? root.querySelector("form[data-path=" + CSS.escape(form) + "] [data-key=" + CSS.escape(key) + "]") : f.name && root.querySelector(f.tagName + "[name=" + CSS.escape(f.name) + "]:not([type=hidden])");
	};

	const comes = new WeakMap(); // folds, and whether each was open when it came
	const folds = () => { for (const d of main().querySelectorAll("details[id]")) if (!comes.has(d)) comes.set(d, d.open); };
	folds();
	let carried = new WeakSet(); // fields whose text was typed into those before them: leaving them is no change to the browser
	// replace puts a whole page in place, with what is typed and not saved, and the focus where it was.
	const replace = now => {
		const m = main(), at = document.activeElement, topOf = e => e.getBoundingClientRect().top, top = topOf(at), y = scrollY;
		let [from, to] = [null, null];
		try { [from, to] = [at.selectionStart, at.selectionEnd]; } catch { /* no text */ }
		for (const f of inputs(m).filter(touched)) {
			const g = twinOf(f, now);
			if (g && g.value !== f.value) { g.value = f.value; carried.add(g); since(g, f.dataset.since); }
		}
		const inside = m.contains(at);
		let again = inside && twinOf(at, now);
		for (let p = at; inside && !again && p !== m; p = p.parentElement) { // what is left of its row, but for what would undo what was done
			const row = p.id && now.querySelector("#" + CSS.escape(p.id));
			again = row && (row.matches("[tabindex]") ? row : row.querySelector("button, a[href], input"));
		}
		for (const d of m.querySelectorAll("details[id]")) { // what the reader folded or opened stays so
			const e = now.querySelector("#" + CSS.escape(d.id));
			if (e && d.open !== comes.get(d)) { comes.set(e, e.open); e.open = d.open; }
		}
		m.replaceWith(document.adoptNode(now));
		folds();
		strips();
		looksAgain();
		if (again) { again.focus({preventScroll: true}); try { if (from !== null) again.setSelectionRange(from, to); } catch { /* no text */ } }
		else if (inside) { now.tabIndex = -1; now.focus({preventScroll: true}); } // what had the focus is gone
		scrollTo(scrollX, y);
		if (again && top > 0 && top < innerHeight) scrollBy(0, topOf(again) - top); // it stays where it was seen, whatever came above it
	};
	// live puts what is calculated in place, tables that were opened staying open.
	const live = now => {
		let changed = false;
		for (const part of main().querySelectorAll("[data-live]")) {
			const other = now.querySelector("#" + CSS.escape(part.id));
			if (!other || part.innerHTML === other.innerHTML) continue;
			const open = [...part.querySelectorAll("details")].map(d => d.open), had = part.contains(document.activeElement);
			part.innerHTML = other.innerHTML;
			changed ||= part.querySelector(".many") !== null;
			if (had) { main().tabIndex = -1; (part.querySelector("button, a[href]") || main()).focus({preventScroll: true}); } // what had the focus is gone
			const after = [...part.querySelectorAll("details")];
			if (after.length === open.length) after.forEach((d, i) => { d.open = open[i]; });
		}
		if (changed) looksAgain();
	};
	// refresh is live, and the fields as they stand in the file now.
	const refresh = now => {
		live(now);
		const buttons = [...now.querySelectorAll("button[data-edit]")];
		[...main().querySelectorAll("button[data-edit]")].forEach((b, i) => {
			if (b.hasAttribute("aria-pressed")) b.setAttribute("aria-pressed", buttons[i].getAttribute("aria-pressed"));
			b.dataset.set = buttons[i].dataset.set;
		});
		const fields = new Map(named(now).map(f => [f.name, f])); // to look for each takes long where they are thousands
		for (const f of inputs(main()).filter(f => !touched(f))) {
			const g = f.dataset.edit !== undefined && fields.get(f.name) || twinOf(f, now);
			if (!g) continue;
			settle(f, g.value);
			const [label, says] = [f, g].map(e => e.labels?.[0]?.querySelector("span")); // which may name what was called otherwise
			if (label && says && label.textContent !== says.textContent) label.replaceChildren(...says.cloneNode(true).childNodes);
		}
	};

	const pageOf = async answer => {
		const text = await answer.text();
		if (answer.headers.get("Content-Type").startsWith("application/json")) return {faults: JSON.parse(text)};
		const page = new DOMParser().parseFromString(text, "text/html"), now = page.getElementById("main");
		const other = answer.status === 409 || answer.status === 300; // two versions, or what pasted rows are taken for
		if (!now || !answer.ok && !other) return {faults: [{field: "", what: (now || page.querySelector("p") || page.body).textContent.trim(), remedy: ""}]};
		return {page, now, both: other, merged: answer.headers.has("Merged")};
	};
	// goOn waits for the rest of a search that took longer than a page does, unless anything newer
	// comes first.
	const goOn = async edits => {
		searching?.abort();
		if (!main().querySelector(".going")) return;
		const stop = searching = new AbortController(), form = body(edits), seen = main().dataset.mark;
		form.set("on", "yes");
		try {
			const answer = await pageOf(await post("/try", form, stop.signal));
			if (stop.signal.aborted || answer.now && (answer.now.dataset.mark !== seen || main().dataset.mark !== seen)) return;
			if (put(answer, edits, edits.length > 0)) say("The search is done.");
		} catch { /* stopped, or the desk is gone: the next thing that is asked says so */ }
	};
	// put shows the answer to some edits: where they were only tried, what is live alone. It reports
	// whether all is well.
	const put = ({faults, page, now, both, merged}, edits = [], tried = false) => {
		if (faults) { wrong(faults); return false; }
		if (both) { showBoth(now, edits); return false; }
		for (const [path] of edits) refused.delete(find(path)?.name || path);
		if (tried) live(now);
		else {
			document.title = page.title;
			if (merged) for (const f of typed()) if (before(twinOf(f, now) || f) !== before(f)) f.dataset.since ||= main().dataset.mark;
			if (names(main()) === names(now)) refresh(now); else replace(now);
			main().dataset.mark = now.dataset.mark;
			for (const hidden of main().querySelectorAll("input[name=mark]")) hidden.value = now.dataset.mark;
		}
		right();
		placed();
		if (tried && !refused.size && document.querySelector("#said .bad")) say("");
		goOn(tried ? edits : []);
		return true;
	};
	// showBoth shows two versions of the file, and what else was typed and is in neither.
	const showBoth = (now, edits) => {
		const left = inputs(main()).filter(f => f.dataset.edit !== undefined && f.type !== "range" && touched(f) && !edits.some(([path]) => path === pathOf(f)));
		if (left.length) {
			const p = document.createElement("p");
			p.textContent = "Typed as well, and in neither version: " + left.map(f => f.labels[0].textContent + ": " + f.value).join("; ");
			now.append(p);
		}
		main().replaceWith(document.adoptNode(now));
		say("");
		scrollTo(0, 0);
	};

	// editsOf is what a field sets: with it goes all that stands in a new row, which is one entry.
	const editsOf = f => {
		const mine = g => [pathOf(g), sent(g)], row = f.closest("tr[data-new]");
		return row ? [...row.querySelectorAll("[data-edit][name]")].filter(g => g === f || g.type !== "range" && g.value && pathOf(g) !== pathOf(f)).map(mine) : [mine(f)];
	};
	const refused = new Map(); // by the names of fields, or their paths, what was typed there and what is wrong with it
	let shown = new Set(), last = shown, told = 0; // errors that stand at fields, those that did before, and how many so far
	// right takes errors away, but for those of what still stands as it was refused.
	const right = () => {
		[last, shown] = [shown, new Set()];
		main().classList.remove("stale");
		for (const f of main().querySelectorAll(".field > .error, .field > .open")) f.remove();
		for (const f of main().querySelectorAll("[aria-describedby]")) { f.removeAttribute("aria-invalid"); f.removeAttribute("aria-describedby"); f.closest(".field")?.classList.remove("bad"); }
		for (const [name, [value, text]] of refused) {
			const f = fieldAt(name);
			if (f && touched(f) && f.value === value) atField(name, text); else refused.delete(name);
		}
	};
	// atField puts an error at its field, where the page has one; what is still to be typed there is none.
	const atField = (name, text, open) => {
		const field = fieldAt(name);
		if (!field || field.getAttribute("aria-describedby")) return !!field;
		const error = document.createElement("span");
		error.className = open && !touched(field) ? "open" : "error"; error.id = "error-" + ++told; error.textContent = text;
		field.setAttribute("aria-describedby", error.id);
		field.after(error);
		if (error.className === "open") return true;
		if (!last.has(name + text)) for (let d = field.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
		shown.add(name + text);
		field.setAttribute("aria-invalid", "true");
		field.closest(".field")?.classList.add("bad");
		if (touched(field)) refused.set(field.name || name, [field.value, text]);
		if (field === document.activeElement) say(text, true);
		return true;
	};
	// wrong puts each fault at its field, or above all where it has none here.
	const wrong = faults => {
		right();
		main().classList.add("stale");
		const list = document.createElement("ul");
		for (const f of faults) {
			const text = f.what + (f.remedy ? ": " + f.remedy : "");
			if (atField(f.field, text, f.open)) continue;
			const line = document.createElement("li");
			if (f.open) line.className = "open";
			line.textContent = (f.where ? f.where + ": " : "") + text;
			list.append(line);
		}
		document.getElementById("wrong")?.replaceChildren(...(list.children.length ? [list] : []));
	};
	// placed does so with those that a page came with.
	const placed = () => {
		for (const line of main().querySelectorAll("#wrong li[data-field]"))
			if (atField(line.dataset.field, line.querySelector("span").textContent, line.className === "open")) line.remove();
		const list = main().querySelector("#wrong ul");
		if (list && !list.children.length) list.remove();
	};

	const tryOut = edits => {
		const mine = newer();
		inTurn(async () => {
			if (mine !== turn) return;
			trying = new AbortController();
			const answer = await pageOf(await post("/try", body(edits), trying.signal));
			if (mine === turn) put(answer, edits, true);
		});
	};
	// save writes what was typed. What was typed on meanwhile in the same field is not saved by that.
	const save = (edits, done, again) => writes(async () => {
		if (!main().dataset.mark) return; // both versions are shown
		const answer = await pageOf(await post("/save", body(edits)));
		if (answer.now && !answer.both) {
			for (const [path, value] of edits) for (const f of fieldsOf(path)) { delete f.dataset.since; if (sent(f) === value) settle(f, f.value); }
			if (document.hidden) keep();
			done?.();
		}
		if (put(answer, edits)) {
			say("Saved");
			if (saving === 1) resend();
			// What was refused before may be right by now, as a price is once its rate is there.
			if (!again) for (const [name, [value]] of [...refused]) { const f = fieldAt(name); if (f?.matches("[data-edit][name]") && f.value === value) save(editsOf(f), null, true); }
		} else if (again) main().classList.remove("stale");
		else if (answer.faults) say("Not saved: " + (answer.faults.find(f => edits.some(([path]) => fieldAt(f.field) && fieldAt(f.field) === fieldAt(path))) || answer.faults[0]).what, true);
	}, "Not saved: the desk does not answer. " + (edits.some(([path]) => fieldsOf(path).some(touched)) ? "What you typed still stands here." : "Press again once it does."));

	// resend saves what stands here and did not arrive, as where the desk was out of reach.
	const resend = () => { for (const f of inputs(main())) if (f.matches("[data-edit][name]:not([type=range])") && f !== document.activeElement && touched(f) && refused.get(f.name)?.[0] !== f.value) save(editsOf(f)); };

	// Forms are sent from here: a browser that is to tell no referrer sends them as from nowhere, and
	// those are refused.
	document.addEventListener("submit", e => {
		e.preventDefault();
		const form = e.target, by = e.submitter;
		if (form.dataset.path) { // it becomes an entry of a list: its fields are the keys
			const at = form.querySelector("option[data-unit]:checked"), unit = f => f.dataset.unit && !/[^-\d.,\s]/.test(f.value) ? (at || f).dataset.unit : "";
			save([...form.elements].filter(f => f.dataset.key && f.value).map(f => [form.dataset.path + "." + f.dataset.key, f.value + unit(f)]), () => { for (const f of form.elements) if (!f.dataset.ask) f.value = before(f); });
			return;
		}
		if (gone || sending.has(form)) return; // a tap too many, as one that begins another haul
		sending.add(form);
		writes(async () => {
			const answer = await fetch(form.action, {method: "POST", body: form.enctype === "multipart/form-data" ? new FormData(form, by) : new URLSearchParams(new FormData(form, by)), credentials: "same-origin"});
			if (answer.redirected) { if (form.closest("#new")) sessionStorage.removeItem("new"); go(answer.url); return; }
			const got = await pageOf(answer);
			if (got.faults || got.both) { put(got); main().querySelector("#wrong li, .field.bad")?.scrollIntoView({block: "center"}); } else go(got.now.dataset.address ? got.now.dataset.address + "?view=" + got.now.dataset.view : location.href);
		}).finally(() => sending.delete(form));
	});
	const sending = new WeakSet(); // forms whose answer is on its way
	let gone = false; // the page was left for another
	addEventListener("pageshow", () => { gone = false; }); // and come back to
	const go = address => { gone = true; location.assign(address); };

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
		for (const g of fieldsOf(pathOf(f)).filter(g => g !== f)) g.value = g.type === "range" ? Math.round(parseFloat(f.value.replace(",", ".")) || 0) : sent(f);
		tryOut(editsOf(f));
	});
	const left = f => {
		if (!f.matches?.("[data-edit][name]:not(button)")) return;
		carried.delete(f);
		save(editsOf(f));
	};
	document.addEventListener("change", e => left(e.target));
	document.addEventListener("focusout", e => { if (carried.has(e.target) && e.target.isConnected && touched(e.target) && refused.get(e.target.name)?.[0] !== e.target.value) left(e.target); });
	document.addEventListener("click", e => {
		const b = e.target.closest("button[data-set]"), way = e.target.closest("a[href]");
		if (b && e.detail > 1 && b.dataset.then) return; // a tap too many adds nothing
		if (b) { e.preventDefault(); save(JSON.parse(b.dataset.set)).then(() => { if (b.dataset.then) main().querySelector(b.dataset.then)?.focus(); }); return; }
		const offer = e.target; // what is offered gives way to what is typed
		if (offer.matches(".sell input[inputmode]") && offer.value === before(offer) && offer.selectionStart === offer.selectionEnd) offer.select();
		if (e.target.closest("[data-undo]")) undo();
		if (way && saving && !way.hasAttribute("download") && !e.ctrlKey && !e.metaKey) { e.preventDefault(); queue.then(() => { if (main().dataset.mark && !unsaved()) go(way.href); }); }
	});
	const unsaved = () => inputs(main()).some(f => touched(f) && (refused.has(f.name) || f.dataset.edit !== undefined && f !== document.activeElement));
	// hold keeps what is typed, and saves what stands in a field that was not left, as the page goes out
	// of sight: a phone may end it there. The same page of the haul shows it again, and saves it.
	const held = () => "typed " + main().dataset.file + " " + main().dataset.view;
	const keep = () => {
		const list = typed().map(f => [f.dataset.since || main().dataset.mark, keyOf(f), f.value]);
		if (list.length) sessionStorage.setItem(held(), JSON.stringify(list)); else sessionStorage.removeItem(held());
	};
	const hold = () => {
		keep();
		const f = document.activeElement;
		if (f.dataset.edit !== undefined && f.name && touched(f) && refused.get(f.name)?.[0] !== f.value) left(f);
	};
	addEventListener("beforeunload", e => { if (!gone && (saving || unsaved())) e.preventDefault(); });
	const undo = () => writes(async () => { if (put(await pageOf(await post("/undo", body([]))))) say("Taken back"); });

	// In a grid Enter goes down, arrows up and down; pasted cells fill it from where one stands.
	const cellsOf = table => [...table.tBodies].flatMap(b => [...b.rows]).map(r => [...r.querySelectorAll("[data-edit][name]:not([type=range])")]).filter(r => r.length);
	document.addEventListener("keydown", e => {
		const f = e.target;
		if ((e.ctrlKey || e.metaKey) && !e.shiftKey && e.key === "z" && (!f.matches("input, textarea") || !touched(f) && !f.closest("form"))) { e.preventDefault(); undo(); return; }
		if (e.key === "Escape" && f.matches("[data-edit]") && touched(f)) { for (const g of fieldsOf(pathOf(f))) settle(g, before(g)); newer(); follow(); return; }
		const table = f.matches("input") && f.closest("table.grid");
		const step = {Enter: 1, ArrowDown: 1, ArrowUp: -1}[e.key];
		if (!table || !step || f.type === "range") return;
		const rows = cellsOf(table).filter(r => !r[0].closest("tr").hidden), at = rows.findIndex(r => r.includes(f)), to = rows[at + step];
		if (to) { e.preventDefault(); const g = to[Math.min(rows[at].indexOf(f), to.length - 1)]; g.closest("tr").querySelector(".add")?.setAttribute("open", ""); g.focus(); g.select?.(); }
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
		const lot = list?.match(/^(lots\[.*\])\.items$/), m = main().dataset;
		if (!lot) { save(edits); return; }
		writes(async () => { // a table with a head is shown before it is taken
			const answer = await fetch("/rows", {method: "POST", body: new URLSearchParams({file: m.file, mark: m.mark, lot: lot[1], rows: text}), credentials: "same-origin"});
			if (answer.status === 204) save(edits); else put(await pageOf(answer));
		});
	});

	// Of a first haul the figures are written as the reader's are.
	const usual = main().querySelector("[data-usual]");
	if (usual && (1.5).toLocaleString(navigator.language).includes(",")) usual.value = "comma";

	// What is typed for a new haul is kept until it is begun: a phone may end the page.
	const fresh = main().querySelector("#new form"), kept = fresh && sessionStorage.getItem("new");
	for (const [name, value] of Object.entries(JSON.parse(kept || "{}"))) if (fresh.elements[name]) fresh.elements[name].value = value;
	if (kept) fresh.parentElement.open = true;
	fresh?.addEventListener("input", () => sessionStorage.setItem("new", JSON.stringify(Object.fromEntries(new FormData(fresh)))));

	// Of many hauls or pieces those are shown in which something stands, out of their folds; what was
	// looked for goes into the address.
	const look = sought => {
		const want = sought.value.trim().toLowerCase();
		for (const group of main().querySelectorAll("section:has(.hauls, .many), .many")) {
			const rows = [...group.querySelectorAll("tbody tr")], fold = group.matches("details") ? group : group.querySelector("details:has(.hauls)");
			for (const r of rows) r.hidden = ![...r.cells, {textContent: r.dataset.holds}].map(c => c.textContent).join(" ").toLowerCase().includes(want);
			group.hidden = rows.every(r => r.hidden);
			if (fold && (want || sought.dataset.looked)) fold.open = want !== "";
		}
		sought.dataset.looked = want;
	};
	// looksAgain does so on a page that is new.
	const looksAgain = () => {
		const sought = main().querySelector("#find");
		if (!sought) return;
		sought.parentElement.hidden = false;
		sought.value ||= new URL(location.href).searchParams.get("only");
		if (sought.value) look(sought);
	};
	document.addEventListener("input", e => {
		if (e.target.id !== "find") return;
		const at = new URL(location.href), want = e.target.value.trim();
		if (want) at.searchParams.set("only", want.toLowerCase()); else at.searchParams.delete("only");
		history.replaceState(null, "", at);
		look(e.target);
		say([...main().querySelectorAll("section:has(.hauls, .many), .many")].every(group => group.hidden) ? "Nothing here has that." : "");
	});
	looksAgain();

	if (!main().dataset.file) return;
	for (const [mark, name, value] of JSON.parse(sessionStorage.getItem(held()) || "[]")) {
		const f = fieldAt(name);
		if (!f || f.value === value) continue;
		f.value = value;
		since(f, mark);
		if (f.matches("textarea")) f.form.elements.mark.value = mark;
	}
	sessionStorage.removeItem(held());
	placed();
	goOn([]);
	// follow shows the file as it is now, and what was only tried no longer. What is typed is kept, and
	// the page with it: both versions are shown when it is left.
	const follow = () => inTurn(async () => {
		if (!main().dataset.mark) return;
		const at = new URL(location.href);
		at.searchParams.set("view", main().dataset.view); // what the haul waits for, and is shown by, may be another by now
		const answer = await pageOf(await fetch(at)), other = answer.now?.dataset.mark !== main().dataset.mark;
		if (other && inputs(main()).some(f => touched(f) && (f.dataset.edit !== undefined || f.name === "text"))) { say("The file was changed elsewhere. What you type is kept apart when you leave the field."); return; }
		if (put(answer) && other) say("The file was changed elsewhere; this is how it is now.");
	});
	// The file may be changed by others while it is shown. A page that is not seen does not listen: a
	// browser keeps few ways open to one server, and would have none left for the others.
	let events = null, silent = 0;
	const listen = () => {
		events?.close();
		events = null;
		if (document.hidden || !main().dataset.address) return; // two versions are shown
		events = new EventSource("/events" + main().dataset.address.replace(/^\/haul/, ""));
		events.onopen = () => {
			if (silent > 2) say("The desk answers again.");
			silent = 0;
			queue.then(resend);
		};
		events.onerror = () => {
			if (++silent === 3) say("The desk does not answer: it was ended, or the network is gone. Nothing is saved until it does.", true);
			if (events?.readyState === EventSource.CLOSED) setTimeout(listen, 2000); // as while an editor writes
		};
		events.addEventListener("file", e => queue.then(() => { if (main().dataset.mark && e.data !== main().dataset.mark) follow(); }));
	};
	document.addEventListener("visibilitychange", () => { if (document.hidden) hold(); listen(); });
	addEventListener("online", listen);
	addEventListener("pagehide", () => events?.close());
	listen();
})();
