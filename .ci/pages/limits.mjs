// What each document may come to on paper, by its file's name without the ending: `pages` at most, and at least so much of
// the pages' area filled (`fill`, from 0 to 1). Not counted are pages for the pillar, and the last page of a stage.
// A document that is not here has no limit; its figures are printed all the same.
const LIMITS = {
  'sheet-a4': { pages: 20, fill: 0.85 },
  'sheet-letter': { pages: 25 },
  'sixty-links': { pages: 24, fill: 0.85 },
  'sheet-short': { pages: 9, fill: 0.85 },
  brief: { pages: 2 },
  'heights-a4': { pages: 4 },
  'study-a4': { pages: 20 },
  released: { pages: 8 },
  'released-noted': { pages: 9 },
  // A page for the foreman, one a day, one a person; how it was made stands under the last person's list.
  crew: { pages: 12 },
  'sixty-links-crew': { pages: 14 },
  // A vehicle of each pattern that nobody has measured yet, and the demo with some readings missing, or stopped.
  'new-survey': { pages: 8, fill: 0.9 },
  'new-sheet': { pages: 32, fill: 0.8 },
  'provisional-survey': { pages: 1 },
  provisional: { pages: 26, fill: 0.85 },
  stopped: { pages: 26, fill: 0.85 },
  card: { pages: 1 },
};

/** The limits of a file by its name without the ending; every pattern has the same. */
export function limitOf(name) {
  return LIMITS[name] ?? LIMITS[name.replace(/^new-.*-/, 'new-')] ?? {};
}
