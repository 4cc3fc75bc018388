"use strict";
// Tables of the book can be sorted, by the heads of their columns or a list of them, and show only the
// rows in which something stands. What was chosen goes into the address. Without it they are whole.
(() => {
	const at = new URL(location.href);
	const keep = (key, value) => { if (value) at.searchParams.set(key, value); else at.searchParams.delete(key); history.replaceState(null, "", at); };
	const make = (tag, set, ...inside) => { const e = Object.assign(document.createElement(tag), set); e.append(...inside); return e; };
	// figure is the number in a cell; nothing where it holds none.
	const figure = cell => {
		const text = cell.innerText.replace(/[\u2009\u202f\u00a0 ]/g, "").replace(/\u2212/g, "-");
		const found = text.match(/-?\d[\d.,]*/);
		if (!found) return null;
		const mark = found[0].lastIndexOf(",") > found[0].lastIndexOf(".") ? "," : ".";
		return Number(found[0].replace(mark === "," ? /\./g : /,/g, "").replace(mark, "."));
	};
	const compare = (column, down) => (a, b) => {
		const [x, y] = [a.cells[column], b.cells[column]];
		if (!x || !y) return 0;
		const [m, n] = [x, y].map(c => c.classList.contains("n") ? figure(c) : c.innerText.trim() || null);
		if (m === null || n === null) return (m === null) - (n === null); // what is empty stays last
		const order = typeof m === "number" && typeof n === "number" ? m - n : String(m).localeCompare(String(n), document.documentElement.lang, {numeric: true});
		return down ? -order : order;
	};
	// A haul is called by its title, and by its file too where others are called alike.
	const all = [...document.querySelectorAll("#hauls li")], titles = new Map(all.map(l => [l.dataset.file, l.textContent]));
	for (const l of all) if (all.some(o => o !== l && o.textContent === l.textContent)) titles.set(l.dataset.file, l.textContent + ", " + l.dataset.file);
	let number = 0;
	[...document.querySelectorAll("main .t > table")].forEach(table => {
		const heads = table.tHead ? [...table.tHead.rows[0].cells] : [], bodies = [...table.tBodies];
		const rows = bodies.flatMap(b => [...b.rows]).filter(r => !r.matches(".sum, .group"));
		const haul = heads.findIndex(h => h.innerText.trim() === "haul"); // named by its file, it is a way to its page
		if (haul >= 0) for (const r of rows.filter(r => r.cells[haul])) {
			const file = r.cells[haul].innerText.trim();
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
		table.parentElement.before(make("div", {className: "line tools"}, label("Only rows with", only), label("Sorted by", by), down, count));

		const show = () => {
			const want = only.value.trim().toLowerCase(), desc = down.getAttribute("aria-pressed") === "true";
			bodies.forEach((b, n) => {
				const sums = before[n].filter(r => r.matches(".sum")), mine = before[n].filter(r => !r.matches(".sum, .group"));
				if (by.value !== "") mine.sort(compare(Number(by.value), desc));
				b.append(...before[n].filter(r => r.matches(".group")), ...mine, ...sums);
				for (const r of mine) r.hidden = want !== "" && !r.innerText.toLowerCase().includes(want);
				for (const r of sums) r.hidden = want !== ""; // they are of all rows
			});
			heads.forEach((h, n) => { if (String(n) === by.value) h.setAttribute("aria-sort", desc ? "descending" : "ascending"); else h.removeAttribute("aria-sort"); });
			const shown = rows.filter(r => !r.hidden).length;
			count.textContent = shown === rows.length ? rows.length + " rows" : shown + " of " + rows.length + " rows; sums of all of them are hidden";
			keep(key("only"), only.value); keep(key("by"), by.value); keep(key("down"), desc ? "yes" : "");
		};
		for (const r of rows) r.hidden = false;
		only.addEventListener("input", show);
		by.addEventListener("change", show);
		const turn = () => { down.setAttribute("aria-pressed", down.getAttribute("aria-pressed") !== "true"); show(); };
		down.addEventListener("click", turn);
		heads.forEach((h, n) => {
			const sort = make("button", {type: "button", className: "head"}, ...h.childNodes);
			sort.addEventListener("click", () => { if (by.value === String(n)) turn(); else { by.value = n; show(); } });
			h.append(sort);
		});
		show();
	});
})();
