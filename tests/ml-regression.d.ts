/** What the tests use of a library that comes without types. */
declare module 'ml-regression' {
  export class SimpleLinearRegression {
    constructor(x: readonly number[], y: readonly number[]);
    readonly slope: number;
    readonly intercept: number;
  }
  export class TheilSenRegression extends SimpleLinearRegression {}
}
