// A photo of the plate: handed out at once under its own name, because a page cannot keep it; its hash goes into the file.
const pictures = new Map();

function download(bytes, type, name) {
  const link = el("a"), address = URL.createObjectURL(new Blob([bytes], { type }));
  link.href = address;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}

function fileName(...parts) { return parts.map((part) => String(part).replace(/[^\p{L}\p{N}._-]+/gu, "-").slice(0, 60)).filter(Boolean).join("-"); }

function photoField(stop, station) {
  const made = el("div", "ph"), label = el("label", "link"), text = el("span"), input = el("input"), told = el("span", "file");
  const name = stop.number + " " + station;
  input.type = "file";
  input.accept = "image/*";
  input.setAttribute("capture", "environment");
  input.addEventListener("change", async () => {
    const file = input.files[0];
    if (!file) return;
    const bytes = new Uint8Array(await file.arrayBuffer()), hash = sha256(bytes), end = /\.\w{1,5}$/.exec(file.name);
    const photo = { file: fileName(stop.at, D.stations[station].place.toLowerCase(), hash.slice(0, 8)) + (end ? end[0] : ""), sha256: hash, at: isoWithOffset(new Date()), saved: 0 };
    photos.set(name, photo);
    keep("photo " + name, photo);
    pictures.set(name, URL.createObjectURL(file));
    download(bytes, file.type, photo.file);
    show();
    tally();
  });
  function show() {
    const photo = photos.get(name);
    text.textContent = photo ? "Another photo" : "Add a photo";
    told.replaceChildren();
    if (photo) told.append(el("span", "", photo.file + " is in your downloads: keep it beside the saved file."));
    if (pictures.has(name)) {
      const image = el("img");
      image.alt = "Photo at " + stop.at;
      image.src = pictures.get(name);
      told.append(image);
    }
  }
  label.append(text, input);
  made.append(label, told);
  show();
  return made;
}
