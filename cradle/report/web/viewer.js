// The 3-D view of a report, in place of its still picture where the browser can show one.
import {h} from "./dom.js";
import {solidView} from "./solid.js";

const place = document.getElementById("solid"),
  view = solidView();
if (view.live) {
  view.element.append(h("p", {class: "small"}, "Drag to turn; scroll or pinch to zoom."));
  place.className = "live";
  place.append(view.element);
  view.show(JSON.parse(document.getElementById("solid-data").textContent));
}
