"""Run by Alembic: the steps work on the connection, and in the transaction, that it was given."""

from alembic import context
from alembic.runtime.migration import MigrationContext, MigrationInfo
from sqlalchemy import Connection, insert

from dictate.store.tables import SchemaRow


def _note_version(
    ctx: MigrationContext, step: MigrationInfo, heads: object, run_args: object
) -> None:
    """Programs, earlier ones too, go by `schema_version`; it grows with each step."""
    if step.is_upgrade and not step.is_stamp and ctx.connection is not None:
        ctx.connection.execute(insert(SchemaRow).values(version=int(step.up_revision_id or 0)))


connection: Connection = context.config.attributes["connection"]
context.configure(connection=connection, on_version_apply=_note_version, transactional_ddl=True)
context.run_migrations()
