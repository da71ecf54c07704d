// The length in seconds of every sound of the page, by its path in the set.
for (const folded of document.querySelectorAll('details')) folded.open = true;
Promise.all([...document.querySelectorAll('audio')].map((a) => new Promise((yes, no) => {
  a.onloadedmetadata = () => yes([decodeURIComponent(a.getAttribute('src')), a.duration]);
  a.onerror = () => no(new Error(a.src + ': ' + a.error.message));
  a.preload = 'metadata';
  a.load();
}))).then(Object.fromEntries)
