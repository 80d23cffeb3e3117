import { randomBytes } from 'node:crypto';
import type { PersonWithInvitationDto } from '../../modules/people/dto/person.dto';
import type { Role } from '../../platform/security/role';
import type { ApiClient } from '../api-client';
import type { FilledWorkshop } from './fill-diary';

const PEOPLE: readonly { name: string; role: Role }[] = [
  { name: 'Juniper', role: 'administrator' },
  { name: 'Rowan', role: 'fleet-planner' },
  { name: 'Willow', role: 'front-desk' },
  { name: 'Alder', role: 'technician' },
  { name: 'Hawthorn', role: 'dealer-system' },
];

export interface DemoPeople {
  people: readonly { email: string; role: Role }[];
  /** the same for all of them, and another one in every demo */
  password: string;
}

/** Somebody of every role, who has accepted the invitation. The technician is the one of that name in a workshop. */
export async function invitePeople(
  api: ApiClient,
  workshops: readonly FilledWorkshop[],
): Promise<DemoPeople> {
  const password = randomBytes(9).toString('base64url');
  const technicians = workshops.flatMap((each) => each.technicians);
  const people: { email: string; role: Role }[] = [];
  for (const { name, role } of PEOPLE) {
    const email = `${name.toLowerCase()}@tarn-valley.example`;
    const isTechnician = role === 'technician';
    const technicianId = isTechnician ? (technicians.find((each) => each.name === name)?.id ?? null) : null;
    const { invitation } = await api.send<PersonWithInvitationDto>('POST', '/v1/people', {
      ...{ name, email, role, technicianId },
    });
    await api.send('POST', '/v1/invitation-acceptances', { invitation, password });
    people.push({ email, role });
  }
  return { people, password };
}
