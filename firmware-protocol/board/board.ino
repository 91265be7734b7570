// Manifold-pressure board. The program is in main.c and the files beside it; this file only lets a sketch-based
// editor open the folder. main.c has a main() of its own, which takes the place of the editor's setup() and loop().
