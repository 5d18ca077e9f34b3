import type { components } from './schema';

type Schemas = components['schemas'];
export type Status = Schemas['Status'];
export type CrewState = Schemas['CrewState'];
export type Now = Schemas['Now'];
export type Next = Schemas['Next'];
export type Activity = Schemas['Activity'];
export type Condition = Schemas['Condition'];
export type Window = Schemas['Window'];
export type RecordEntry = Schemas['RecordEntry'];
export type Outing = Schemas['Outing'];
export type Light = Schemas['Light'];
export type WalkThrough = Schemas['WalkThrough'];
export type Options = Schemas['Options'];
export type Option = Schemas['Option'];
export type Session = Schemas['Session'];
export type Change = Schemas['Change'];
export type Beat = Schemas['Beat'];
export type CrewId = CrewState['id'];
export type Lane = Activity['lanes'][number];
export type Finding = Schemas['Finding'];
export type SuitCurves = Schemas['SuitCurves'];
export type Draft = Schemas['Draft'];
export type Edit = Schemas['Edit'];
export type Wishes = Schemas['Wishes'];
export type Documents = Schemas['Documents'];
export type OutingFile = Schemas['OutingFile'];
export type FileRequest = Schemas['FileRequest'];
export type FileTried = Schemas['FileTried'];
export type Sessions = Schemas['Sessions'];
/** The day as it would be if some lines were logged now. */
export interface WhatIf {
  readonly position: number; // the newest entry that is really there
  readonly supposed: readonly string[];
  readonly status: Status;
  readonly options: Options;
}
