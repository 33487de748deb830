// Reads the code of a label from a photo: a live camera needs an encrypted
// line, which a shop's own network has not got.
import decode from "../../vendor/qr/decode.js";
const box = document.querySelector(".scan");
const said = document.getElementById("scanned");
box.hidden = false;
box.querySelector("input").addEventListener("change", async e => {
  const file = e.target.files[0];
  if (!file) return;
  said.textContent = "reading …";
  try {
    const photo = await createImageBitmap(file);
    for (const side of [1600, 1000, 600]) {
      const scale = Math.min(1, side / Math.max(photo.width, photo.height));
      const c = new OffscreenCanvas(Math.round(photo.width * scale), Math.round(photo.height * scale));
      const g = c.getContext("2d");
      g.drawImage(photo, 0, 0, c.width, c.height);
      try {
        const text = decode(g.getImageData(0, 0, c.width, c.height));
        if (text.startsWith("keyon plug ")) { location.href = "/plug?name=" + encodeURIComponent(text); return; }
        said.textContent = "The code says: " + text;
        return;
      } catch { /* try smaller */ }
    }
    said.textContent = "No code found. Hold the label flat and near, and try again.";
  } catch { said.textContent = "The picture can't be read."; }
  e.target.value = "";
});
