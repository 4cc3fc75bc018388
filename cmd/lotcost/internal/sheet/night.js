// As the evening goes: what is marked picks what was worked out for it.
(() => {
	const states = JSON.parse(document.getElementById("states").textContent);
	const evening = document.getElementById("evening"), answer = document.getElementById("answer");
	const sets = [...evening.querySelectorAll("fieldset")];
	const look = () => {
		let key = "", open = false;
		sets.forEach((set, i) => {
			set.disabled = open; // the order in which they close is that in which they are decided
			const value = set.querySelector("input:checked").value;
			open = open || value === "";
			if (!open) key += value;
		});
		const state = states[key];
		sets.forEach((set, i) => {
			const at = i - key.length, limit = document.getElementById("limit-" + i);
			limit.textContent = at < 0 ? "" : state && state.limits[at] ? ": " + state.limits[at] : "";
		});
		answer.textContent = key.length === sets.length ? "All are decided." : state && state.answer ? state.answer : "This page does not know what to do then: ask again, with what was paid.";
	};
	evening.addEventListener("change", look);
	evening.addEventListener("submit", e => e.preventDefault());
	evening.reset();
	evening.hidden = false;
	look();
})();
