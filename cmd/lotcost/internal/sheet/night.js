// As the evening goes: what is marked picks what was worked out for it.
(() => {
	const states = JSON.parse(document.getElementById("states").textContent);
	const evening = document.getElementById("evening"), answer = document.getElementById("answer");
	const lots = [...evening.querySelectorAll("select")];
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
		answer.textContent = key.length === lots.length ? "All are decided." : state && state.answer ? state.answer : "This page does not know what to do then: ask again, with what was paid.";
	};
	evening.addEventListener("change", look);
	evening.addEventListener("submit", e => e.preventDefault());
	evening.reset();
	evening.hidden = false;
	look();
})();
