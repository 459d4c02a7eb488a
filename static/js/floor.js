// The Floor's behaviour: counting down, sending presses, telling that a time is over.
import { startCountdown } from "./countdown.js";
import { startFolds } from "./folds.js";
import { startPresses } from "./presses.js";
import { startSound } from "./sound.js";

startFolds();
startCountdown(startSound());
startPresses();
