// A lesson that is open, and what keeps it.

import type { LessonDocument } from "./lesson_document.js";
import type { Saving } from "./saving.js";

export interface OpenLesson {
  readonly document: LessonDocument;
  readonly saving: Saving;
}
