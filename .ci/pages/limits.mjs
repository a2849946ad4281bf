// What each document may come to on paper, by its file's name without the ending: `pages` at most, and at least so much of
// the pages' area filled (`fill`, from 0 to 1). Not counted are pages for the pillar, and the last page of a stage.
// A document that is not here has no limit; its figures are printed all the same.
export const LIMITS = {
  'sheet-a4': { pages: 20, fill: 0.85 },
  'sheet-letter': { pages: 25 },
  'sixty-links': { pages: 24, fill: 0.85 },
  'sheet-short': { pages: 11, fill: 0.8 },
  brief: { pages: 2 },
  'heights-a4': { pages: 4 },
  'study-a4': { pages: 20 },
  released: { pages: 8 },
  // Two pages for the foreman, one a day and one a person.
  crew: { pages: 12 },
  card: { pages: 1 },
};
