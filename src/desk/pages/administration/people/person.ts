import type { Schemas } from '../../../api/client';

export type Person = Schemas['PersonDto'];
