// A position is found by its label where the browser reads codes, else by typing its tag.
async function scan() {
  const dialog = document.getElementById("scan"), video = dialog.querySelector("video"), told = dialog.querySelector("p");
  let stream = null, going = true;
  const end = () => { going = false; if (stream) stream.getTracks().forEach((track) => track.stop()); if (dialog.open) dialog.close(); };
  dialog.addEventListener("close", end, { once: true });
  told.textContent = "Hold the label before the camera.";
  dialog.showModal();
  try {
    const detector = new BarcodeDetector({ formats: ["qr_code"] });
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    video.srcObject = stream;
    await video.play();
    while (going) {
      for (const code of await detector.detect(video)) {
        if (byTag(code.rawValue)) { end(); return; }
        told.textContent = "“" + seen(code.rawValue) + "” is not in this round.";
      }
      await new Promise((resolve) => setTimeout(resolve, 200));
    }
  } catch (error) {
    told.textContent = "The camera cannot be used (" + error.name + "): type the tag instead.";
    if (stream) stream.getTracks().forEach((track) => track.stop());
  }
}

function byTag(text) {
  const wanted = text.trim().toLowerCase(), stop = D.stops.find((one) => one.at.toLowerCase() === wanted);
  if (!stop) return false;
  document.getElementById("find").value = stop.at;
  draw();
  return true;
}

function offerScan() {
  const offer = document.getElementById("offer-scan");
  offer.hidden = !("BarcodeDetector" in window && navigator.mediaDevices);
  offer.addEventListener("click", scan);
}
