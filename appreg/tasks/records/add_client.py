"""Add a client: the duty holder who must keep the items safe."""

from appreg.core.records.kept_records import Client
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked


def add_client(
    register: Register,
    who: str,
    *,
    name: str,
    address: str = "",
    agent_name: str = "",
    agent_address: str = "",
    notes: str = "",
) -> Client:
    """Add a client; raises InputRefused where the name is empty."""
    with register.change(who) as change:
        client = Client(
            uid=change.new_uid(),
            name=name,
            address=address,
            agent_name=agent_name,
            agent_address=agent_address,
            notes=notes,
        )
        client = checked(register, client)
        change.put(client)
    return client
