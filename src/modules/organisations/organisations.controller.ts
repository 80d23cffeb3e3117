import { Body, Controller, Get, Patch } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { IfMatch } from '../../platform/http/entity-tag';
import { Context, type RequestContext } from '../../platform/http/request-context';
import { Allow } from '../../platform/security/allow';
import { administrators, everybody } from '../../platform/security/role';
import { OrganisationDto } from './dto/organisation.dto';
import { UpdateOrganisationDto } from './dto/write-organisation.dto';
import { OrganisationsService } from './organisations.service';

@ApiTags('organisation')
@Controller('v1/organisation')
export class OrganisationsController {
  constructor(private readonly organisations: OrganisationsService) {}

  /** Reads the organisation that the key belongs to. */
  @Get()
  @Allow(everybody)
  get(@Context() context: RequestContext): Promise<OrganisationDto> {
    return this.organisations.get(context);
  }

  /** Changes the name of the organisation, or in what its people read distances and pressures. */
  @Patch()
  @Allow(administrators)
  update(
    @Context() context: RequestContext,
    @IfMatch() revision: number,
    @Body() body: UpdateOrganisationDto,
  ): Promise<OrganisationDto> {
    return this.organisations.update(context, revision, body);
  }
}
