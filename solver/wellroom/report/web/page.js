(function () {
  "use strict";
  function chosen(name) {
    return document.querySelector('input[name="' + name + '"]:checked');
  }
  function all(selector, each) {
    document.querySelectorAll(selector).forEach(each);
  }
  function reach() {
    all(".sheet, .wide, pre", function (part) {
      var over = part.scrollWidth - part.clientWidth;
      if (part.clientWidth > 0) { part.tabIndex = over > 0 ? 0 : -1; }
      if (over > 0 && part.dataset.from === "middle") {
        part.scrollLeft = over / 2;
        part.dataset.from = "set";
      }
    });
  }
  function rankOf(stance) {
    return chosen((stance === "0" ? "" : "s" + (Number(stance) + 1) + "-") + "rank");
  }
  function show() {
    var units = chosen("units"), on = chosen("stance"), stance = on ? on.value : "0", rank = rankOf(stance);
    document.documentElement.setAttribute("data-units", units.value);
    all("[data-stance]", function (part) {
      part.hidden = part.dataset.stance.split(" ").indexOf(stance) < 0;
    });
    all(".ranked", function (part) {
      var own = part.closest(".stanced"), one = own ? rankOf(own.dataset.stance) : rank;
      part.hidden = !one || part.dataset.ranks.split(" ").indexOf(one.value) < 0;
    });
    all("#ranks tbody label", function (label) {
      label.closest("tr").classList.toggle("chosen", document.getElementById(label.htmlFor).checked);
    });
    document.getElementById("now").textContent = (rank || on || units).dataset.says || "";
    reach();
  }
  document.addEventListener("change", show);
  window.addEventListener("resize", reach);
  show();
})();
