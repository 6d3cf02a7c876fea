// made when the folder gets its first source
