// The shapes that the scripts of the page share. Those of the interface come from
// contract.d.ts, which .ci/types makes from openapi/openapi.yaml.
import type { components } from './contract';

type Schemas = components['schemas'];

export type Score = Schemas['Score'] & { partial?: boolean; dialect?: Dialect };
export type Note = Schemas['Note'];
export type Voice = Note['voices'][number];
export type ScoreLine = Schemas['Line'];
export type Chart = Schemas['Chart'];
export type Pitch = Chart['holes'][number]['blow'];

export interface Change { line: number; column: number; length: number; text: string }

/** A change of the text that settles a diagnostic. */
export interface Edit { label: string; keeps?: boolean; everywhere?: boolean; changes: Change[] }

export type Diagnostic = Schemas['Diagnostic'] & { edits?: Edit[]; count?: number; places?: { line: number; column: number; length: number }[] };

export interface Dialect {
  convention: string;
  blow: string | null;
  draw: string | null;
  bend: string | null;
  over: string | null;
  bracketed: string | null;
  because: string;
  line: number | null;
}

/** What is asked for: the parameters of the interface by their names. */
export interface Request {
  tab: string;
  harp?: string;
  layout?: string | { blow: string[]; draw: string[] };
  tuning?: string;
  a4?: number;
  tempo?: number;
  metre?: string;
  from?: number | string;
  to?: number | string;
  repeat?: number;
  count_in?: number;
  mix?: string;
  [name: string]: unknown;
}

/** A problem document. ref: RFC 9457. */
export interface Problem { status?: number; title?: string; detail?: string; diagnostics?: Diagnostic[]; dialect?: Dialect }

export interface AskOptions { waiting?: (seconds: number) => void; signal?: AbortSignal }

/** Whoever can answer what the page asks: the server, or an engine in the page. */
export interface Answerer {
  ask(resource: string, request: Request, options: AskOptions): Promise<Response>;
  /** Whether it can answer about such a resource now. */
  answers(resource: string): boolean;
}

/** A stretch of beats, its end excluded. */
export interface Range { from: number; to: number }
