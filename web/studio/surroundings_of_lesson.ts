// What every part of a lesson's page may ask for.

import { createContext } from "preact";
import { useContext } from "preact/hooks";
import type { EngineClient } from "../shared/engine_client.js";
import type { LessonDocument } from "./lesson_document.js";
import type { Saving } from "./saving.js";

export interface LessonSurroundings {
  readonly document: LessonDocument;
  readonly saving: Saving;
  readonly engine: EngineClient;
}

export const LessonContext = createContext<LessonSurroundings | null>(null);

export function useLesson(): LessonSurroundings {
  const surroundings = useContext(LessonContext);
  if (surroundings === null) throw new Error("this stands outside a lesson");
  return surroundings;
}
