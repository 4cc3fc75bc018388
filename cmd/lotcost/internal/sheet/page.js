"use strict";
(() => {
	// A figure that is pressed puts its address where it can be copied.
	document.addEventListener("click", e => {
		const at = e.target.closest("td[id], dd[id]");
		if (at && !e.target.closest("a") && String(getSelection()) === "") history.replaceState(null, "", "#" + at.id);
	});
	// What is folded opens for an address in it, and on paper.
	const reveal = () => {
		let at = null;
		try { at = document.getElementById(decodeURIComponent(location.hash.slice(1))); } catch { return; }
		for (let d = at && at.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
	};
	addEventListener("hashchange", reveal);
	reveal();
	addEventListener("beforeprint", () => { for (const d of document.querySelectorAll("details.fold")) d.open = true; });
})();
