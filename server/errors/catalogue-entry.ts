export interface CatalogueEntry {
  /** What is the matter, in one sentence for the mechanic. */
  readonly message: string;
  readonly whatToDo: string;
  /** Status of an HTTP answer that carries the code; 0 where none does. */
  readonly httpStatus: number;
}

export const entry = (httpStatus: number, message: string, whatToDo: string): CatalogueEntry => ({
  message,
  whatToDo,
  httpStatus,
});
