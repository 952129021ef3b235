(function () {
  "use strict";
  function chosen(name) {
    var on = document.querySelector('input[name="' + name + '"]:checked');
    return on ? on.value : null;
  }
  function reach() {
    document.querySelectorAll(".sheet, .wide, pre").forEach(function (part) {
      var over = part.scrollWidth - part.clientWidth;
      if (part.clientWidth > 0) { part.tabIndex = over > 0 ? 0 : -1; }
      if (over > 0 && part.dataset.from === "middle") {
        part.scrollLeft = over / 2;
        part.dataset.from = "set";
      }
    });
  }
  function show() {
    var rank = chosen("rank"), units = chosen("units");
    if (units !== null) { document.documentElement.setAttribute("data-units", units); }
    if (rank === null) { reach(); return; }
    document.querySelectorAll(".ranked").forEach(function (part) {
      part.hidden = part.getAttribute("data-ranks").split(" ").indexOf(rank) < 0;
    });
    document.querySelectorAll("#ranks tbody label").forEach(function (label) {
      label.closest("tr").classList.toggle("chosen", label.htmlFor === "rank-" + rank);
    });
    document.getElementById("now").textContent = document.getElementById("rank-" + rank).getAttribute("data-says");
    reach();
  }
  document.addEventListener("change", show);
  window.addEventListener("resize", reach);
  show();
})();
