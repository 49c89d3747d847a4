
// The kit's own part: each file of this site is fetched once and kept, so that a
// later visit needs no network. A site that was built anew has another KEPT.
const KEPT = "bouncelab-@site@";
async function maybeFromCache(event) {
  const request = event.request;
  if (new URL(request.url).origin !== location.origin) return fetch(request);
  const store = await caches.open(KEPT);
  const ignoreSearch = request.mode === "navigate";
  const kept = await store.match(request, { ignoreSearch });
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.status === 200) {
    const copy = answer.clone();
    event.waitUntil(store.put(request, copy).catch(() => {})); // the disk may be full
  }
  return answer;
}
self.addEventListener("activate", (event) =>
  event.waitUntil(
    caches.keys().then((names) =>
      Promise.all(
        names
          .filter((name) => name.startsWith("bouncelab-") && name !== KEPT)
          .map((name) => caches.delete(name)),
      ),
    ),
  ),
);
// Lists of files are files of the site as well.
function shouldDrop(request, url) {
  return request.method !== "GET" || !url.protocol.startsWith("http");
}
