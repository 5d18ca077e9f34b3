// The invented status of docs/examples, typed; the assignment itself tests that the example fits the interface.
import text from '../../../docs/examples/status.json';
import type { Status } from './types';

export const example: Status = text as unknown as Status;
