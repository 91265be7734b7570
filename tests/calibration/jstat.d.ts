/** The few distributions that the checks use; the package has no types of its own. */
declare module 'jstat' {
  const jstat: {
    readonly studentt: { inv(p: number, dof: number): number; cdf(x: number, dof: number): number };
    readonly normal: {
      inv(p: number, mean: number, sd: number): number;
      pdf(x: number, mean: number, sd: number): number;
    };
    readonly ibeta: (x: number, a: number, b: number) => number;
    readonly gammaln: (x: number) => number;
  };
  export default jstat;
}
