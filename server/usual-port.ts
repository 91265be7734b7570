/** Where the program serves unless it is told another: what is double-clicked looks here whether it runs already. */
export const USUAL_PORT = 4350;
