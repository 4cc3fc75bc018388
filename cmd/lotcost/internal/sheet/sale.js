// At the sale: a price is looked up among the bids that were priced beforehand.
(() => {
	const data = JSON.parse(document.getElementById("steps").textContent);
	const price = document.getElementById("price"), slide = document.getElementById("slide"), answer = document.getElementById("answer"), ask = document.getElementById("ask");
	const fields = ["cost", "profit", "chanceOfLoss", "meets"];
	const trim = s => (s.includes(".") ? s.replace(/0+$/, "").replace(/\.$/, "") : s).replace(/^0+(?=\d)/, "");
	const places = new Map(data.steps.map((s, i) => [trim(s[0]), i]));

	// What is typed, as a plain number; null for what is none.
	const read = text => {
		let s = text.normalize("NFKC").replace(/[\s'’_]/g, "");
		if (s.toUpperCase().startsWith(data.bids)) s = s.slice(3);
		else if (s.toUpperCase().endsWith(data.bids)) s = s.slice(0, -3);
		if (data.comma && /^\d{1,3}(\.\d{3})+(,\d+)?$/.test(s)) s = s.replaceAll(".", "");
		if (!data.comma && /^\d{1,3}(,\d{3})+(\.\d+)?$/.test(s)) s = s.replaceAll(",", "");
		s = s.replace(",", ".");
		return /^\d+(\.\d+)?$/.test(s) ? trim(s) : null;
	};
	// A figure as it is set elsewhere in the page.
	const set = s => {
		const [, sign, whole, rest] = /^(-?)(\d+)(.*)$/.exec(s);
		return (sign ? "−" : "") + whole.replace(/\B(?=(\d{3})+$)/g, "\u2009") + (data.comma ? rest.replace(".", ",") : rest);
	};
	const percent = s => s === "" ? "–" : set((Math.round(Number(s) * 1000) / 10).toFixed(1)) + "%";
	const home = s => set(s) + " " + data.home, bid = s => set(s) + " " + data.bids;
	const less = (a, b) => {
		const digits = (a.split(".")[1] || "").length, n = s => BigInt(s.replace(".", ""));
		const d = n(a) - n(b), t = String(d < 0n ? -d : d).padStart(digits + 1, "0");
		return [d < 0n, digits ? t.slice(0, -digits) + "." + t.slice(-digits) : t];
	};
	const made = (name, text, to, className) => {
		const e = document.createElement(name);
		e.textContent = text;
		if (className) e.className = className;
		return to.appendChild(e);
	};
	const clear = said => {
		for (const f of fields) answer.dataset[f] = "";
		answer.replaceChildren();
		made("p", said, answer);
	};
	const show = i => {
		const [at, cost, profit, back, loss, meets, missing] = data.steps[i], next = data.steps[i + 1];
		[cost, profit, loss, meets].forEach((v, n) => { answer.dataset[fields[n]] = v; });
		answer.replaceChildren();
		made("strong", meets === "yes" ? "Yes: at " + bid(at) + " the goal is met." : "No: at " + bid(at) + " it is " + home(missing) + " too dear.", answer, meets);
		const list = made("dl", "", answer, "glance");
		const line = (name, text) => { const d = made("div", "", list); made("dt", name, d); made("dd", text, d); };
		line(data.costName, home(cost));
		line("expected profit", home(profit));
		line("return", percent(back));
		line("chance of a loss", percent(loss));
		if (next) {
			const [falls, by] = less(next[1], cost);
			line("next, " + bid(next[0]), home(next[1]) + ", " + set(by) + (falls ? " less" : " more"));
		}
		slide.value = i;
		slide.setAttribute("aria-valuetext", bid(at));
	};
	const look = () => {
		const typed = read(price.value), i = places.get(typed);
		const first = data.steps[0][0], last = data.steps[data.steps.length - 1][0];
		if (i !== undefined) return show(i);
		if (typed === null) return clear(price.value.trim() === "" ? "Type the price it stands at." : "That is no price.");
		const below = data.steps.findLastIndex(s => Number(s[0]) < Number(typed));
		if (below < 0) return clear("No bid: the first is " + bid(first) + ".");
		if (below === data.steps.length - 1) return clear("This page goes up to " + bid(last) + ".");
		clear("No bid of the ladder: those beside it are " + bid(data.steps[below][0]) + " and " + bid(data.steps[below + 1][0]) + ".");
	};
	price.addEventListener("input", look);
	slide.addEventListener("input", () => {
		const at = data.steps[slide.value][0];
		price.value = data.comma ? at.replace(".", ",") : at;
		look();
	});
	ask.addEventListener("submit", e => e.preventDefault());
	ask.hidden = false;
	look();
})();
