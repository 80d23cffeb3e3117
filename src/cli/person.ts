import { parseArgs } from 'node:util';
import { OrganisationsService } from '../modules/organisations/organisations.service';
import { PeopleService } from '../modules/people/people.service';
import type { Config } from '../platform/config/config';
import { CONFIG } from '../platform/config/config.module';
import { Tenants } from '../platform/database/tenants';
import { CodedError } from '../platform/errors/coded-error';
import type { RequestContext } from '../platform/http/request-context';
import { isMailAddress } from '../platform/http/is-mail-address';
import { systemPrincipal } from '../platform/security/principal';
import { roles, type Role } from '../platform/security/role';
import { reportAndExit } from '../process-life';
import { withApplication } from './with-application';

const USAGE =
  'npm run person -- --organisation <name or id> --role administrator --email wren@tarn-valley.example --name Wren';

interface WantedPerson {
  organisation: string;
  role: Role;
  email: string;
  name: string;
}

/**
 * Invites somebody, the first administrator above all, and prints the invitation once. Whoever has the address already is
 * invited anew, with the role that is given, sees everything and can sign in again: for when everybody is locked out.
 */
async function main(): Promise<void> {
  const { organisation, ...person } = wantedPerson();
  await withApplication(async (app) => {
    const found = await organisationsCalled(organisation, app.get(Tenants), app.get(OrganisationsService));
    const [only] = found;
    if (only === undefined) throw new Error(`There is no organisation "${organisation}".`);
    if (found.length > 1) {
      throw new Error(
        `Several are called "${organisation}". Give the id: ${found.map(({ id }) => id).join(', ')}`,
      );
    }
    const { publicUrl } = app.get<Config>(CONFIG);
    const invited = await app.get(PeopleService).inviteInAnyCase(contextOf(only.id), person).catch(explain);
    console.log(`${invited.name} <${invited.email}>, ${invited.role} of ${only.name} (person ${invited.id})`);
    console.log(`Invitation, shown only now, good until ${invited.invitationExpiresAt ?? ''}:`);
    console.log(invited.invitation ?? '');
    console.log(`To be opened at:\n${publicUrl}/desk/invitation#${invited.invitation ?? ''}`);
  });
}

function wantedPerson(): WantedPerson {
  const text = { type: 'string' } as const;
  const { values } = parseArgs({ options: { organisation: text, role: text, email: text, name: text } });
  const { organisation = '', email = '', name = '' } = values;
  const role = roles.find((each) => each === values.role);
  const faults = [
    ...(organisation === '' ? ['--organisation: its name or id'] : []),
    ...(role === undefined ? [`--role: one of ${roles.join(', ')}`] : []),
    ...(isMailAddress(email) ? [] : ['--email: a mail address']),
    ...(name.length >= 1 && name.length <= 100 ? [] : ['--name: 1 to 100 characters']),
  ];
  if (role === undefined || faults.length > 0) throw new Error(`Give ${faults.join('; ')}.\n${USAGE}`);
  return { organisation, role, email, name };
}

const contextOf = (organisationId: string): RequestContext => ({
  principal: systemPrincipal(organisationId, 'npm run person'),
  idempotency: null,
});

async function organisationsCalled(
  nameOrId: string,
  tenants: Tenants,
  organisations: OrganisationsService,
): Promise<{ id: string; name: string }[]> {
  const all = [];
  for (const id of await tenants.ids()) all.push(await organisations.get(contextOf(id)));
  return all.filter(({ id, name }) => id === nameOrId.toLowerCase() || name === nameOrId);
}

function explain(error: unknown): never {
  if (!(error instanceof CodedError)) throw error;
  throw new Error([error.detail, ...error.fields.map(({ remedy }) => remedy)].join(' '), { cause: error });
}

main().catch(reportAndExit);
