// What this page loaded before its service worker was there is kept too, so that the
// next visit needs no network. Where a browser allows no such worker, nothing is kept.
(async () => {
  if (!("serviceWorker" in navigator) || !window.caches) return;
  if (navigator.serviceWorker.controller) return; // it has kept all from the start
  await new Promise((resolve) =>
    navigator.serviceWorker.addEventListener("controllerchange", resolve),
  );
  const store = await caches.open("bouncelab-@site@");
  const loaded = performance.getEntriesByType("resource").map((each) => each.name);
  for (const name of new Set([location.href, ...loaded])) {
    const url = name.split("#")[0];
    if (!url.startsWith(location.origin) || url.includes("service-worker")) continue;
    if (url.includes("/api/drive") || url.includes("/api/stdin/")) continue;
    if (await store.match(url)) continue;
    const answer = await fetch(url, { cache: "force-cache" }).catch(() => null);
    if (answer?.status === 200) await store.put(url, answer);
  }
})();
