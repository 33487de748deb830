// Face and list point at each other.
addEventListener("click", e => {
  const hole = e.target.closest(".face [data-id]");
  const row = e.target.closest(".pins tr[data-id]");
  const id = (hole || row)?.dataset.id;
  if (!id || e.target.closest("a")) return;
  for (const x of document.querySelectorAll(".here")) x.classList.remove("here");
  for (const x of document.querySelectorAll(`[data-id="${CSS.escape(id)}"]`)) {
    x.classList.add("here");
    if (hole && x.matches("tr")) x.scrollIntoView({ block: "center", behavior: "smooth" });
  }
});
