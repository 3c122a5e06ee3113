"""Pure mathematics over arrays: numpy and scipy in, frozen results out."""
