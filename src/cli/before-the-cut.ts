/**
 * What `init`, `plan`, `sheet` and `enter` do, as one part that is loaded with the first of them:
 * parts of their own would cut what they share with the other commands into many small files, which
 * every start would have to open.
 */
export { runEnter } from './run-enter.js';
export { runInit } from './run-init.js';
export { runPlan } from './run-plan.js';
export { runSheet } from './run-sheet.js';
