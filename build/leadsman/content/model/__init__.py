"""What each record of the content may hold, as pydantic models.

pydantic, because one declaration gives the validation with the place of each error, the JSON schema for
an editor's completion, and typed access for everything downstream.
"""
