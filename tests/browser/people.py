"""The people of the walks, and how they sign in."""

from dataclasses import dataclass

from server import Server
from walk import Walk


@dataclass(frozen=True)
class Person:
    name: str
    login: str
    password: str
    firm: str
    role: str


# An invented region; nobody of these exists.
MANAGER = Person("Mara Venn", "mara", "seven grey herons", "Ternfold Radio", "manager")
ENGINEER = Person("Ilo Stave", "ilo", "nine short ladders", "Ternfold Radio", "engineer")
CONTRACTOR = Person("Ada Sill", "ada", "three red shackles", "Sill & Wick Masts", "contractor")


def sign_in(walk: Walk, person: Person) -> None:
    """The person before goes, this one sits down."""
    walk.forget_person()
    walk.open("/sign-in")
    walk.fill("Sign-in name", person.login)
    walk.fill("Password", person.password)
    walk.press("Sign in")


def demo_people(server: Server) -> list:
    """Everybody of the demo region."""
    return [Person(name, login, password, firm, role) for name, role, firm, login, password in server.accounts()]
