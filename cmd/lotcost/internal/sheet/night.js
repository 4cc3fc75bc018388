// As the evening goes: what is marked picks what was worked out for it.
(() => {
	const text = document.getElementById("states").textContent, states = JSON.parse(text);
	const evening = document.getElementById("evening"), answer = document.getElementById("answer"), title = document.querySelector("h1");
	const lots = [...evening.querySelectorAll("select")];
	// What is marked outlasts a phone that ends the page. Another evening has other states; a browser may keep nothing.
	const place = "evening " + [...text].reduce((sum, c) => (31 * sum + c.codePointAt(0)) | 0, 0);
	const kept = () => { try { return JSON.parse(localStorage.getItem(place)) || []; } catch { return []; } };
	const keep = () => { try { localStorage.setItem(place, JSON.stringify(lots.map(lot => lot.value))); } catch { /* it is marked again */ } };
	const look = () => {
		let key = "", open = false;
		lots.forEach((lot, i) => {
			lot.disabled = open; // the order in which they close is that in which they are decided
			open = open || lot.value === "";
			if (!open) key += lot.value;
		});
		const state = states[key];
		lots.forEach((_, i) => {
			const at = i - key.length, limit = document.getElementById("limit-" + i);
			limit.textContent = at >= 0 && state && state.limits[at] || "";
		});
		let now = ["This page does not know what to do then", "Ask again, with what was paid."];
		if (key.length === lots.length) now = ["All are decided", /[^l]/.test(key) ? "Write down what each was won for: at the lots of the desk, or as their prices in the lot file." : "Nothing was won, and nothing is to be paid."];
		else if (state && state.answer) now = [state.answer, state.more];
		if (title.textContent !== now[0]) title.textContent = now[0];
		answer.textContent = now[1];
		document.getElementById("since").hidden = key === "";
	};
	evening.addEventListener("change", () => { look(); keep(); });
	evening.addEventListener("submit", e => e.preventDefault());
	evening.reset();
	kept().forEach((value, i) => { lots[i].value = value; });
	evening.hidden = false;
	title.setAttribute("aria-live", "polite");
	look();
})();
