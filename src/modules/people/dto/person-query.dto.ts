import { IsBoolean, IsOptional, IsUUID } from 'class-validator';
import { PageQueryDto } from '../../../platform/http/page-query.dto';
import { BooleanText } from '../../../platform/http/query-values';

export class PersonParamsDto {
  @IsUUID()
  personId!: string;
}

export class ListPeopleQueryDto extends PageQueryDto {
  /** Also people who are disabled. */
  @IsOptional()
  @BooleanText()
  @IsBoolean()
  includeDisabled?: boolean = true;
}
