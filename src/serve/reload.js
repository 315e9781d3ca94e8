// In the preview only: loads the page anew when the program says that something changed.
let seen;
new EventSource("/-/changes").onmessage = (told) => {
  if (seen !== undefined && seen !== told.data) location.reload();
  seen = told.data;
};
