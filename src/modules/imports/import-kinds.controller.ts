import { Controller, Get } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { NotExported } from '../../platform/exports/not-exported';
import { Allow } from '../../platform/security/allow';
import { everybody } from '../../platform/security/role';
import { ImportKindsDto } from './dto/import-kind.dto';
import { ImportKindsService } from './import-kinds.service';

@ApiTags('imports')
@Controller('v1/import-kinds')
export class ImportKindsController {
  constructor(private readonly kinds: ImportKindsService) {}

  /** Lists the kinds of files that can be handed over, with their columns. */
  @Get()
  @Allow(everybody)
  @NotExported('It describes files rather than records: read it in application/json.')
  list(): ImportKindsDto {
    return { items: this.kinds.describe() };
  }
}
