/** The library: what the program does, as functions. Lengths in mm, angles in turns. */

export { readBoards } from './boards/read-boards.js';
export type { Cut, Reading } from './boards/reading.js';
export { toLongCsv } from './boards/write-long.js';
export type { Machine } from './machine/machine.js';
export { readMachine } from './machine/read-machine.js';
export { type Contact, contactLevel, type Level } from './model/contact.js';
export { type Feed, feedOf } from './model/feed.js';
export { type PlanedSurface, planedSurface } from './model/surface.js';
export type { Notice, Severity } from './notices/notice.js';
export { hasErrors } from './notices/notice.js';
export {
  type Analysed,
  type AnalyseOptions,
  analyse,
  answersEverything,
} from './pipeline/analyse.js';
export type { EarlierResult } from './pipeline/foretell-marks.js';
export type { ReadingPlace } from './pipeline/insistence.js';
export { type Marks, type MarksOptions, marks, marksAreSettled } from './pipeline/marks.js';
export { type Planned, type PlanOptions, planBoards, plansEverything } from './pipeline/plan.js';
export { readPlan } from './pipeline/read-plan.js';
export { readResult } from './pipeline/read-result.js';
export { blankPage, blankSheet, type SheetPageOptions } from './pipeline/sheet.js';
export { sinceMoves } from './pipeline/since.js';
export type { SourceFile } from './pipeline/source.js';
export { type Understood, understand } from './pipeline/understand.js';
export type { Wish } from './pipeline/wanted-feeds.js';
export type * from './record/marks.js';
export type * from './record/plan.js';
export type * from './record/result.js';
export { CAUTIONS } from './report/cautions.js';
export { toJson } from './report/json.js';
export { type Place, placesOf } from './sheet/places.js';
