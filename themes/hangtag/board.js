// Finding by name, number, tag or piece. Without it the list of last names and the browser's own search do.
(() => {
  const box = document.getElementById("find");
  const all = [...document.querySelectorAll("[data-find]")];
  const links = [...document.querySelectorAll(".index li")];
  const said = document.getElementById("found");
  document.getElementById("seek").hidden = false;
  box.addEventListener("input", () => {
    const words = box.value.toLowerCase().split(/\s+/).filter(Boolean);
    const meant = all.map((slip) => words.every((word) => slip.dataset.find.includes(word)));
    all.forEach((slip, at) => { slip.hidden = !meant[at]; });
    links.forEach((link, at) => { link.hidden = !meant[at]; });
    document.body.classList.toggle("seeking", words.length > 0);
    said.textContent = words.length > 0 ? meant.filter(Boolean).length + " / " + all.length : "";
  });
})();
