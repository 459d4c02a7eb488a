// The Day page's behaviour. Everything on the page also works without it, by links and forms.
import { startFolds } from "./folds.js";
import { startKeys } from "./keys.js";
import { startPanel } from "./panel.js";
import { startZoom } from "./zoom.js";

startFolds();
startPanel();
startKeys();
startZoom();
