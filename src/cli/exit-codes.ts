/** What the program's exit code says. */
export const EXIT = {
  done: 0,
  outside: 1,
  badInput: 2,
  undecided: 3,
  fault: 70,
  interrupted: 130,
} as const;
