"use strict";
// Tables of the book can be sorted, by the heads of their columns or a list of them, and show only the
// rows in which something stands. What was chosen goes into the address. Without it they are whole.
(() => {
	const at = new URL(location.href);
	const keep = (key, value) => { if (value) at.searchParams.set(key, value); else at.searchParams.delete(key); history.replaceState(null, "", at); };
	const make = (tag, set, ...inside) => { const e = Object.assign(document.createElement(tag), set); e.append(...inside); return e; };
	// figure is the number in a cell; nothing where it holds none.
	const figure = cell => {
		const text = cell.textContent.replace(/[\u2009\u202f\u00a0 ]/g, "").replace(/\u2212/g, "-");
		const found = text.match(/-?\d[\d.,]*/);
		if (!found) return null;
		const mark = found[0].lastIndexOf(",") > found[0].lastIndexOf(".") ? "," : ".";
		return Number(found[0].replace(mark === "," ? /\./g : /,/g, "").replace(mark, "."));
	};
	const compare = (column, down) => (a, b) => {
		const [x, y] = [a.cells[column], b.cells[column]];
		if (!x || !y) return 0;
		const [m, n] = [x, y].map(c => c.classList.contains("n") ? figure(c) : c.textContent.trim() || null);
		if (m === null || n === null) return (m === null) - (n === null); // what is empty stays last
		const order = typeof m === "number" && typeof n === "number" ? m - n : String(m).localeCompare(String(n), document.documentElement.lang, {numeric: true});
		return down ? -order : order;
	};
	// A haul is called by its title, and by its file too where others are called alike.
	const titles = new Map([...document.querySelectorAll("#hauls li")].map(l => [l.dataset.file, l.textContent])), times = new Map();
	for (const title of titles.values()) times.set(title, (times.get(title) || 0) + 1);
	for (const [file, title] of titles) if (times.get(title) > 1) titles.set(file, title + ", " + file);
	const shows = [];
	let number = 0, most = innerWidth < 720 ? 50 : 200; // rows that are shown at first: a phone takes long for thousands
	[...document.querySelectorAll("main .t > table")].forEach(table => {
		const heads = table.tHead ? [...table.tHead.rows[0].cells] : [], bodies = [...table.tBodies];
		const rows = bodies.flatMap(b => [...b.rows]).filter(r => !r.matches(".sum, .group"));
		if (!table.closest("details")) rows.forEach((r, n) => { r.hidden = n >= most; });
		table.dataset.shown = "";
		const haul = heads.findIndex(h => h.innerText.trim() === "haul"); // named by its file, it is a way to its page
		if (haul >= 0) for (const r of rows.filter(r => r.cells[haul])) {
			const file = r.cells[haul].textContent.trim(); // innerText has the whole table laid out again, row by row
			r.cells[haul].replaceChildren(make("a", {href: "/haul/" + file.split("/").map(encodeURIComponent).join("/"), title: file, textContent: titles.get(file) || file}));
		}
		if (rows.length < 5 || !heads.length || table.closest("details")) return;
		const i = number++;
		const before = bodies.map(b => [...b.rows]), key = name => name + (i || "");
		const only = make("input", {type: "search", value: at.searchParams.get(key("only")) || "", autocomplete: "off"});
		const by = make("select", {}, make("option", {value: "", textContent: "as it is"}), ...heads.map((h, n) => make("option", {value: n, textContent: h.innerText.replace(/\s+/g, " ")})));
		by.value = at.searchParams.get(key("by")) ?? "";
		const down = make("button", {type: "button", textContent: "downwards"});
		down.setAttribute("aria-pressed", at.searchParams.get(key("down")) === "yes");
		const count = make("span", {className: "count"});
		count.setAttribute("role", "status");
		const label = (text, field) => make("label", {className: "field"}, make("span", {textContent: text}), field);
		const whole = make("button", {type: "button", textContent: "Show all"});
		table.parentElement.before(make("div", {className: "line tools"}, label("Only rows with", only), label("Sorted by", by), down, count, whole));

		const show = () => {
			const want = only.value.trim().toLowerCase(), desc = down.getAttribute("aria-pressed") === "true";
			let fit = 0;
			bodies.forEach((b, n) => {
				const sums = before[n].filter(r => r.matches(".sum")), mine = before[n].filter(r => !r.matches(".sum, .group"));
				if (by.value !== "") mine.sort(compare(Number(by.value), desc));
				b.append(...before[n].filter(r => r.matches(".group")), ...mine, ...sums);
				for (const r of mine) r.hidden = ![...r.cells].map(c => c.textContent).join(" ").toLowerCase().includes(want) || ++fit > most;
				for (const r of sums) r.hidden = want !== ""; // they are of all rows
			});
			heads.forEach((h, n) => { if (String(n) === by.value) h.setAttribute("aria-sort", desc ? "descending" : "ascending"); else h.removeAttribute("aria-sort"); });
			count.textContent = (fit > most ? "the first " + most + " of " : "") + fit + (fit < rows.length ? " of " + rows.length + " rows; sums of all of them are hidden" : " rows");
			whole.hidden = fit <= most;
			keep(key("only"), only.value); keep(key("by"), by.value); keep(key("down"), desc ? "yes" : "");
		};
		whole.addEventListener("click", () => { most = Infinity; show(); });
		only.addEventListener("input", show);
		by.addEventListener("change", show);
		const turn = () => { down.setAttribute("aria-pressed", down.getAttribute("aria-pressed") !== "true"); show(); };
		down.addEventListener("click", turn);
		heads.forEach((h, n) => { // which a phone does not show: the keys have the list
			const sort = make("button", {type: "button", className: "head", tabIndex: -1}, ...h.childNodes);
			sort.addEventListener("click", () => { if (by.value === String(n)) turn(); else { by.value = n; show(); } });
			h.append(sort);
		});
		show();
		shows.push(show);
	});
	let few = most; // paper has no button for the others: all rows are printed
	addEventListener("beforeprint", () => { few = most; most = Infinity; for (const show of shows) show(); });
	addEventListener("afterprint", () => { most = few; for (const show of shows) show(); });
})();
